"""Connections that take up a place and ask for nothing are closed."""

import asyncio
from typing import Any

from uvicorn.protocols.http.h11_impl import H11Protocol

#: How long a whole head of a request may take [s]. Judgement; a bar of signal needs two or three.
HEAD_S = 20.0


class ImpatientProtocol(H11Protocol):
    """The server's own, which waits for ever for a head that comes letter by letter."""

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Somebody has come."""
        super().connection_made(transport)
        self._seen: Any = None
        self._watch = self.loop.call_later(HEAD_S, self._look)

    def connection_lost(self, exc: Exception | None) -> None:
        """They have gone."""
        self._watch.cancel()
        super().connection_lost(exc)

    def _look(self) -> None:
        answering = self.cycle is not None and not self.cycle.response_complete
        if not answering and self.cycle is self._seen:
            self.transport.close()
            return
        self._seen = self.cycle
        self._watch = self.loop.call_later(HEAD_S, self._look)
