"""How the bytes of an answer are got: over the network, or from a folder."""

from dataclasses import dataclass
from typing import Protocol


@dataclass(frozen=True)
class Answer:
    """One answer as it came.

    ``body`` is None where nothing changed since the time asked for. ``last_modified`` is when the
    answer changed, or its ETag where it tells no time: what to ask with next time, as it stands.
    ``expires`` is when another answer may be worth asking for, as the service wrote it.
    """

    body: bytes | None
    last_modified: str | None = None
    expires: str | None = None


class Transport(Protocol):
    """Gets answers by their path, such as ``/gridpoints/LZK/83,73``."""

    @property
    def requests(self) -> int:
        """Requests sent since `begin`."""

    def begin(self, total_deadline_s: float) -> None:
        """Start a morning that may take this long in all [s]."""

    def out_of_time(self) -> bool:
        """True when the morning's time is used up."""

    def get(self, path: str, if_modified_since: str | None = None) -> Answer:
        """The answer at a path; `ForecastError` where there is none."""


class TransportSource:
    """What sources that ask one provider through a transport have in common.

    Names of the provider's cells begin with ``provider``.
    """

    provider: str

    def __init__(self, transport: Transport) -> None:
        self._transport = transport

    @property
    def providers(self) -> tuple[str, ...]:
        """Its own cells are those of its provider."""
        return (self.provider,)

    @property
    def requests(self) -> int:
        """Requests sent since `begin`."""
        return self._transport.requests

    def begin(self, total_deadline_s: float) -> None:
        """Start a morning that may take this long in all [s]."""
        self._transport.begin(total_deadline_s)

    def out_of_time(self) -> bool:
        """True when the morning's time is used up."""
        return self._transport.out_of_time()
