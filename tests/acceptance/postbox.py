"""A real mail server and a real text message gateway on loopback, for the tests."""

import json
import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from email import message_from_bytes, policy
from email.message import EmailMessage
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

from aiosmtpd.controller import Controller


@dataclass
class Postbox:
    """What arrived. ``refuse`` holds recipients the mail server turns away."""

    mails: list[EmailMessage] = field(default_factory=list)
    recipients: list[str] = field(default_factory=list)
    texts: list[dict[str, Any]] = field(default_factory=list)
    refuse: set[str] = field(default_factory=set)
    mail_port: int = 0
    sms_url: str = ""

    async def handle_RCPT(
        self, server: Any, session: Any, envelope: Any, address: str, options: Any
    ) -> str:
        """Take a recipient or turn it away."""
        if address in self.refuse:
            return "550 no such user here"
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, server: Any, session: Any, envelope: Any) -> str:
        """Keep a mail."""
        self.mails.append(message_from_bytes(envelope.content, policy=policy.default))
        self.recipients.extend(envelope.rcpt_tos)
        return "250 kept"


@contextmanager
def open_postbox() -> Iterator[Postbox]:
    """Start both servers on free loopback ports and stop them at the end."""
    box = Postbox()

    def keep(told: dict[str, Any]) -> str:
        box.texts.append(told)
        return f"sms-{len(box.texts)}"

    with served(box, keep) as (box.mail_port, box.sms_url):
        yield box


@contextmanager
def served(mails: Any, keep_text: Callable[[dict[str, Any]], str]) -> Iterator[tuple[int, str]]:
    """A mail server that hands over to ``mails``, and a gateway that answers with a text's id.

    The port of the one and the address of the other, while they run.
    """
    mail = Controller(mails, hostname="127.0.0.1", port=_free_port())
    gateway = ThreadingHTTPServer(("127.0.0.1", 0), _handler(keep_text))
    mail.start()
    thread = threading.Thread(target=gateway.serve_forever, daemon=True)
    thread.start()
    try:
        yield mail.port, f"http://127.0.0.1:{gateway.server_address[1]}/messages"
    finally:
        mail.stop()
        gateway.shutdown()
        gateway.server_close()
        thread.join()


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def _handler(keep_text: Callable[[dict[str, Any]], str]) -> type[BaseHTTPRequestHandler]:
    class Gateway(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            told = json.loads(self.rfile.read(int(self.headers["Content-Length"])))
            answer = json.dumps({"id": keep_text(told)}).encode()
            self.send_response(200)
            self.send_header("Content-Type", "application/json")
            self.send_header("Content-Length", str(len(answer)))
            self.end_headers()
            self.wfile.write(answer)

        def log_message(self, *told: Any) -> None:
            """Say nothing."""

    return Gateway
