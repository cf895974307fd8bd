"""After each look of the worker: figures for a monitoring agent, and a call to who watches."""

import logging
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from scheduler.metrics import exposition, figures, write_whole
from scheduler.ping import ping
from scheduler.reconciled import not_told

if TYPE_CHECKING:
    from dispatch.report import MorningReport
    from scheduler.opening import OpenFarm
    from storage.delivery_counts import Standing

log = logging.getLogger("warmspell.watch")


@dataclass
class Watch:
    """Remembers for which date the call was made; started anew, it may be made once more."""

    called_on: date | None = None
    _said: str = ""
    _seen: object = None
    _report: "MorningReport | None" = None
    _left: tuple[str, ...] = ()

    def look(self, farm: "OpenFarm") -> None:
        """Write the figures, and call once a day when the morning was told whole. Never raises."""
        try:
            settings, url = farm.config.settings.watch, farm.config.secrets.ping_url
            if farm.past or (settings.metrics_file is None and url is None):
                return
            rows = self._refreshed(farm)
            if not self._left and url is not None and self.called_on != farm.today:
                self._call(url.get_secret_value(), farm.today)
            if settings.metrics_file is not None:
                self._write(farm, settings.metrics_file, rows)
        # Nothing here may cost anybody a digest.
        except Exception as fault:
            log.warning("the watch was not told: %s", type(fault).__name__)

    def _refreshed(self, farm: "OpenFarm") -> "tuple[Standing, ...]":
        """How the messages stand; the plan is read again only when that has changed."""
        from storage.delivery_counts import standings

        rows = standings(farm.stores.database, farm.today)
        seen = (farm.today, farm.stores.runs.sent_on(farm.today), rows)
        if seen != self._seen:
            self._report = farm.stores.plans.on(farm.today)
            sent = seen[1]
            self._left = not_told(farm, self._report, rows) if sent else ("not sent yet",)
            self._seen = seen
        return rows

    def _call(self, url: str, on: date) -> None:
        wrong = ping(url)
        if not wrong:
            self.called_on = on
        elif wrong != self._said:
            log.warning("the call to the watch failed (%s); it is tried again", wrong)
        self._said = wrong

    def _write(self, farm: "OpenFarm", named: str, rows: "tuple[Standing, ...]") -> None:
        told = figures(self._report, rows, told_whole=not self._left, now=farm.now)
        path = Path(farm.config.folder, named)
        try:
            write_whole(path, exposition(told))
        except OSError as fault:
            log.warning("figures were not written to %s: %s", path, fault.strerror)
