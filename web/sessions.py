"""Who has come in, and until when. What a browser keeps is never kept here as it stands."""

import hashlib
import hmac
import secrets
import threading
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Protocol

from farm.board_role import BoardRole
from web.viewer import Viewer

#: Letters of a session's secret: 32 random bytes, twice what is asked of any (ASVS 7.2.3).
SECRET_BYTES = 32


@dataclass(frozen=True)
class Reader:
    """Who a session belongs to."""

    name: str
    role: BoardRole
    grower_ids: frozenset[str] = frozenset()


class Sessions(Protocol):
    """Sessions by the digest of their secret."""

    def begin(self, key: str, reader: Reader, now: datetime) -> None:
        """Keep a new session."""
        ...

    def reader(self, key: str, now: datetime, idle: timedelta) -> Reader | None:
        """Whose session it is; None where there is none, or nothing was done for ``idle``."""
        ...

    def end(self, key: str) -> None:
        """Forget a session."""
        ...


class SessionsHere:
    """Sessions that end with this process: for the one person at this machine."""

    def __init__(self) -> None:
        self._held: dict[str, tuple[Reader, datetime]] = {}
        self._lock = threading.Lock()

    def begin(self, key: str, reader: Reader, now: datetime) -> None:
        """Keep a new session."""
        with self._lock:
            self._held[key] = (reader, now)

    def reader(self, key: str, now: datetime, idle: timedelta) -> Reader | None:
        """Whose session it is; see `Sessions`."""
        with self._lock:
            reader, seen = self._held.get(key, (None, now))
            if reader is None or now - seen > idle:
                self._held.pop(key, None)
                return None
            self._held[key] = (reader, now)
            return reader

    def end(self, key: str) -> None:
        """Forget a session."""
        with self._lock:
            self._held.pop(key, None)


def new_secret() -> str:
    """A secret that nobody guesses, for a cookie or a link."""
    return secrets.token_urlsafe(SECRET_BYTES)


def key_of(secret: str) -> str:
    """What a secret is kept under: its digest, from which it cannot be told."""
    return hashlib.sha256(secret.encode()).hexdigest()


def form_key(secret: str) -> str:
    """What forms of a session must bring back; no other site can know it."""
    return hmac.new(secret.encode(), b"warmspell form", hashlib.sha256).hexdigest()


def viewer_of(reader: Reader, secret: str) -> Viewer:
    """The person of a session."""
    return Viewer(reader.name, reader.role, reader.grower_ids, form_key(secret))
