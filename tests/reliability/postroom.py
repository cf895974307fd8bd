"""A mail server and a text gateway on loopback that keep every copy they took, to the byte."""

import asyncio
import json
import threading
from collections import defaultdict
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from email import message_from_bytes
from typing import Any

from tests.acceptance.postbox import served


@dataclass
class Postroom:
    """``mails`` by recipient and ``texts`` by number, each copy that was taken.

    ``refuse`` holds recipients that are turned away, ``slow_s`` is how long the mail server waits
    between taking a mail and saying so.
    """

    mails: dict[str, list[bytes]] = field(default_factory=lambda: defaultdict(list))
    texts: dict[str, list[dict[str, Any]]] = field(default_factory=lambda: defaultdict(list))
    slow_s: float = 0.0
    refuse: set[str] = field(default_factory=set)
    mail_port: int = 0
    sms_url: str = ""
    connected: threading.Event = field(default_factory=threading.Event)

    async def handle_MAIL(
        self, server: Any, session: Any, envelope: Any, address: str, options: Any
    ) -> str:
        """Somebody begins a mail."""
        self.connected.set()
        envelope.mail_from = address
        return "250 OK"

    async def handle_RCPT(
        self, server: Any, session: Any, envelope: Any, address: str, options: Any
    ) -> str:
        """Take a recipient or turn it away."""
        if address in self.refuse:
            return "550 no such user here"
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, server: Any, session: Any, envelope: Any) -> str:
        """Keep a mail, then say so."""
        for address in envelope.rcpt_tos:
            self.mails[address].append(bytes(envelope.content))
        if self.slow_s:
            await asyncio.sleep(self.slow_s)
        return "250 kept"

    def copies(self) -> dict[str, list[tuple[str, bytes]]]:
        """Every copy of everything: by recipient and kind, its name and its bytes."""
        found: dict[str, list[tuple[str, bytes]]] = defaultdict(list)
        for address, bodies in self.mails.items():
            for body in bodies:
                found[f"mail {address}"].append((message_from_bytes(body)["Message-ID"], body))
        for number, texts in self.texts.items():
            for told in texts:
                body = json.dumps(told, sort_keys=True).encode()
                found[f"sms {number}"].append((told["reference"], body))
        return found

    def clear(self) -> None:
        """Forget everything."""
        self.mails.clear()
        self.texts.clear()
        self.connected.clear()


@contextmanager
def open_postroom() -> Iterator[Postroom]:
    """Start both servers on free loopback ports and stop them at the end."""
    room = Postroom()

    def keep(told: dict[str, Any]) -> str:
        room.texts[told["to"]].append(told)
        return "sms-1"

    with served(room, keep) as (room.mail_port, room.sms_url):
        yield room
