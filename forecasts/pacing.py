"""How often each host is asked: a bucket of tokens a host, slowed when the host says so."""

from collections.abc import Callable

#: Slowest pace a busy host can push us to [s between requests].
SLOWEST_SPACING_S = 10.0

#: What is left of the extra spacing after each good answer.
EASED_BY = 0.8


class HostPace:
    """The pace of one host.

    A token is added every ``1 / per_second`` seconds, while there is none; each request takes
    one. When the host complains, tokens come half as often and none for a while; good answers
    bring the old pace back.

    Parameters
    ----------
    per_second
        Most requests a second, in the long run.
    monotonic
        The clock that waits are measured by [s].
    """

    def __init__(self, per_second: float, monotonic: Callable[[], float]) -> None:
        self._least_spacing_s = self._spacing_s = 1 / per_second
        self._monotonic = monotonic
        self._tokens, self._counted_s = 1.0, monotonic()

    def at_most(self, per_second: float) -> None:
        """Never ask more often than this, whoever else may."""
        self._least_spacing_s = max(self._least_spacing_s, 1 / per_second)
        self._spacing_s = max(self._spacing_s, self._least_spacing_s)

    def wait_s(self) -> float:
        """How long until a request may go [s], 0 where it may go now."""
        self._count()
        return max(0.0, (1 - self._tokens) * self._spacing_s)

    def take(self) -> None:
        """Take the token of a request that goes now."""
        self._count()
        self._tokens -= 1

    def slow_down(self, pause_s: float | None) -> None:
        """The host is asked too often: half the pace, and nothing for ``pause_s`` seconds."""
        wait_s = self.wait_s()
        self._spacing_s = min(SLOWEST_SPACING_S, self._spacing_s * 2)
        wait_s = max(wait_s, self._spacing_s if pause_s is None else pause_s)
        if wait_s:
            self._tokens = 1 - wait_s / self._spacing_s

    def ease(self) -> None:
        """The host answered well: back towards the old pace."""
        wait_s = self.wait_s()
        self._spacing_s = max(self._least_spacing_s, self._spacing_s * EASED_BY)
        if wait_s:
            self._tokens = 1 - wait_s / self._spacing_s

    def _count(self) -> None:
        now_s = self._monotonic()
        added = (now_s - self._counted_s) / self._spacing_s
        self._tokens = min(1.0, self._tokens + max(0.0, added))
        self._counted_s = now_s


class Paces:
    """One pace for each host, shared by all clients that ask it."""

    def __init__(self, monotonic: Callable[[], float]) -> None:
        self._monotonic = monotonic
        self._hosts: dict[str, HostPace] = {}

    def of(self, host: str, per_second: float) -> HostPace:
        """The pace of a host; of those who ask it, the one who may ask least often sets it."""
        if host not in self._hosts:
            self._hosts[host] = HostPace(per_second, self._monotonic)
        self._hosts[host].at_most(per_second)
        return self._hosts[host]
