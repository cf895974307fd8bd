"""A real mail server on loopback, in a process of its own, that counts what it takes."""

import socket
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from multiprocessing import get_context
from multiprocessing.connection import Connection
from typing import Any


@dataclass
class Taken:
    """What the server took: bytes of each mail, by the recipient it went to."""

    sizes: dict[str, list[int]] = field(default_factory=dict)

    async def handle_DATA(self, server: Any, session: Any, envelope: Any) -> str:
        """Take a mail, and keep only its size."""
        for address in envelope.rcpt_tos:
            self.sizes.setdefault(address, []).append(len(envelope.content))
        return "250 kept"


@dataclass(frozen=True)
class MailServer:
    """A running server. ``taken`` ends it and says what it took."""

    port: int
    _line: Connection

    def taken(self) -> Taken:
        """What was taken until now; the server ends."""
        self._line.send("stop")
        told = self._line.recv()
        assert isinstance(told, Taken)
        return told


@contextmanager
def mail_server() -> Iterator[MailServer]:
    """A server in another process, so that neither its memory nor its lock is ours."""
    context = get_context("spawn")
    ours, theirs = context.Pipe()
    process = context.Process(target=_serve, args=(theirs,), daemon=True)
    process.start()
    try:
        yield MailServer(int(ours.recv()), ours)
    finally:
        process.join(timeout=2)
        if process.is_alive():
            process.terminate()


def _serve(line: Connection) -> None:
    from aiosmtpd.controller import Controller

    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = int(probe.getsockname()[1])
    taken = Taken()
    controller = Controller(taken, hostname="127.0.0.1", port=port)
    controller.start()
    line.send(port)
    line.recv()
    controller.stop()
    line.send(taken)
