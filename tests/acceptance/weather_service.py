"""A weather service on loopback that serves a folder of answers and breaks them as it is told."""

import json
import socket
import ssl
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

GEO = "application/geo+json"
PROBLEM = "application/problem+json"

#: What a fault does with a connection, given the whole answer that would have been right.
Fault = Callable[[socket.socket, bytes], None]


@dataclass
class Service:
    """``faults`` by the start of a path; a list is used up one by one and its last item stays.
    ``asked`` are the paths asked for, ``heads`` what came with them.
    """

    answers: Path
    address: str = ""
    faults: dict[str, "Fault | list[Fault]"] = field(default_factory=dict)
    asked: list[str] = field(default_factory=list)
    heads: list[str] = field(default_factory=list)

    def fault_of(self, path: str) -> Fault:
        """What happens to a request."""
        for start, fault in self.faults.items():
            if path.startswith(start):
                if isinstance(fault, list):
                    return fault.pop(0) if len(fault) > 1 else fault[0]
                return fault
        return good

    def body_of(self, path: str) -> bytes:
        """The right answer, empty where there is none."""
        # A question may be longer than the name of a file can be.
        name = path.partition("?")[0].strip("/").replace("/", "_")
        file = self.answers / f"{name}.json"
        return file.read_bytes() if file.is_file() else b""

    def change(self, name: str, change: Callable[[dict[str, Any]], None]) -> None:
        """Change the properties of a recorded answer on disk."""
        file = self.answers / name
        answer = json.loads(file.read_bytes())
        change(answer["properties"])
        file.write_text(json.dumps(answer))


@contextmanager
def serving(answers: Path, tls: ssl.SSLContext | None = None) -> Iterator[Service]:
    """Serve until the end of the block."""
    listener = socket.create_server(("127.0.0.1", 0))
    scheme = "https" if tls else "http"
    service = Service(answers, f"{scheme}://127.0.0.1:{listener.getsockname()[1]}")

    def answer(connection: socket.socket) -> None:
        try:
            if tls:
                connection = tls.wrap_socket(connection, server_side=True)
            with connection:
                head = connection.recv(65536).decode("latin-1")
                path = head.split(" ")[1]
                service.asked.append(path)
                service.heads.append(head)
                service.fault_of(path)(connection, service.body_of(path))
        except (OSError, IndexError):
            connection.close()

    def serve() -> None:
        while True:
            try:
                connection, _ = listener.accept()
            except OSError:
                return
            threading.Thread(target=answer, args=(connection,), daemon=True).start()

    thread = threading.Thread(target=serve, daemon=True)
    thread.start()
    try:
        yield service
    finally:
        listener.shutdown(socket.SHUT_RDWR)
        listener.close()
        thread.join(timeout=5)


def head(status: int, kind: str, **more: object) -> bytes:
    """The head of an answer whose end is the end of the connection."""
    told = {"Content-Type": kind, "Connection": "close"}
    told |= {name.replace("_", "-"): str(value) for name, value in more.items()}
    lines = [f"HTTP/1.1 {status} So", *(f"{name}: {value}" for name, value in told.items())]
    return ("\r\n".join(lines) + "\r\n\r\n").encode()


def good(connection: socket.socket, body: bytes) -> None:
    """The answer as recorded, or a 404 where there is none."""
    if body:
        connection.sendall(head(200, GEO, Content_Length=len(body)) + body)
    else:
        problem("Data Unavailable For Requested Point", 404)(connection, body)


def saying(status: int, body: bytes = b"", kind: str = GEO, **more: object) -> Fault:
    """Always this answer."""

    def fault(connection: socket.socket, _: bytes) -> None:
        connection.sendall(head(status, kind, Content_Length=len(body), **more) + body)

    return fault


def problem(title: str, status: int, **more: object) -> Fault:
    """A problem as the service tells them."""
    told = {"type": "about:blank", "title": title, "status": status, "detail": ""}
    return saying(status, json.dumps(told).encode(), PROBLEM, **more)
