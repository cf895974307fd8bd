"""Asking again, some minutes later, the cells that had nothing to tell just now."""

import time
from collections.abc import Callable

from forecasts.settings import ForecastSettings

#: Longest sleep at a time [s], so that a worker told to stop does.
NAP_S = 2.0


class LaterRounds:
    """The pauses between rounds of asking, as far as a morning's time allows them.

    Parameters
    ----------
    settings
        How long the morning may ask in all, and how long a pause is.
    sleep, monotonic
        Waiting, and the clock it is measured by.
    """

    def __init__(
        self,
        settings: ForecastSettings,
        *,
        sleep: Callable[[float], None] = time.sleep,
        monotonic: Callable[[], float] = time.monotonic,
    ) -> None:
        self._pause_s = settings.ask_again_s
        self._sleep, self._monotonic = sleep, monotonic
        self._ends_s = monotonic() + settings.total_deadline_s

    def another(self, still_waiting: Callable[[], None]) -> bool:
        """Wait for the next round; False, at once, where there is no time for one.

        ``still_waiting`` is called between naps, and may raise to end the waiting.
        """
        until_s = self._monotonic() + self._pause_s
        if until_s >= self._ends_s:
            return False
        while (left_s := until_s - self._monotonic()) > 0:
            still_waiting()
            self._sleep(min(NAP_S, left_s))
        return True
