"""Pauses a whole channel where trying the next message would only do harm."""

from dataclasses import dataclass, field
from datetime import datetime, timedelta

#: Minutes a channel pauses after its first, second, ... fault in a row; the last repeats [min].
PAUSE_MIN = (1, 5, 15, 30)
#: A pause asked for by the other side counts up to here [s].
LONGEST_ASKED_S = 3600.0
#: Share of messages refused for good above which a channel pauses: a storm of refusals is more
#: often our fault than everybody's. Fault list, row M13.
MOST_REFUSED_FRAC = 0.2
#: Refusals below which the share says nothing.
FEWEST_REFUSED = 5


@dataclass
class _Line:
    sent: int = 0
    refused: int = 0
    pauses: int = 0
    until_utc: datetime | None = None
    reason: str = ""


@dataclass
class Breaker:
    """What is known of each channel's health, by the name the outbox uses.

    Kept by a worker from one pass to the next, so that the pauses grow.
    """

    _lines: dict[str, _Line] = field(default_factory=dict)

    def paused(self, channel: str, now: datetime) -> str:
        """Why the channel pauses at ``now``; "" where it does not."""
        line = self._line(channel)
        if line.until_utc is None:
            return ""
        # A clock set back must not turn a pause of minutes into one of hours.
        left = line.until_utc - now
        if left <= timedelta() or left > timedelta(seconds=LONGEST_ASKED_S):
            line.until_utc = None
            return ""
        return line.reason

    def well(self, channel: str) -> bool:
        """Whether the last thing known of a channel is that it took a message."""
        return self._line(channel).pauses == 0

    def stop(
        self, channel: str, now: datetime, reason: str, retry_after_s: float | None = None
    ) -> None:
        """Pause a channel, longer each time, and as long as the other side asks for."""
        line = self._line(channel)
        # Messages that were under way together are turned away together: that is one fault.
        if not self.paused(channel, now):
            line.pauses += 1
        own_s = 60.0 * PAUSE_MIN[min(line.pauses, len(PAUSE_MIN)) - 1]
        asked_s = min(max(retry_after_s or 0.0, 0.0), LONGEST_ASKED_S)
        until_utc = now + timedelta(seconds=max(own_s, asked_s))
        line.until_utc = max(until_utc, line.until_utc or until_utc)
        line.reason = reason
        line.sent = line.refused = 0

    def sent(self, channel: str) -> None:
        """A message was taken: the channel is well."""
        line = self._line(channel)
        line.sent += 1
        line.pauses = 0

    def refused(self, channel: str, now: datetime) -> str:
        """A message was refused for good; why the channel pauses from now on, or ""."""
        line = self._line(channel)
        line.refused += 1
        tried = line.sent + line.refused
        if line.refused < FEWEST_REFUSED or line.refused <= MOST_REFUSED_FRAC * tried:
            return ""
        reason = (
            f"{line.refused} of {tried} messages refused for good, more than "
            f"{MOST_REFUSED_FRAC:.0%}; look at sender, server and addresses"
        )
        self.stop(channel, now, reason)
        return reason

    def _line(self, channel: str) -> _Line:
        return self._lines.setdefault(channel, _Line())
