"""Recorded alerts, replayed byte for byte from a folder: ``alerts_<lat>,<lon>.json``."""

import re
from pathlib import Path

from forecasts.errors import ForecastError
from forecasts.folder import FolderTransport
from forecasts.square import apart_km, spot_of
from forecasts.transport import Answer

#: Farthest a place may lie from the point alerts were recorded for [km]. Alerts are for counties
#: or their parts; two cells of the US service, so that the fields around a point share its file.
ALERTS_MAX_KM = 5.0

_FILE = re.compile(r"alerts_(-?\d{1,3}(?:\.\d+)?,-?\d{1,3}(?:\.\d+)?)\.json")


class RecordedAlerts:
    """Answers questions for the alerts of a point with the file recorded nearest to it."""

    def __init__(self, folder: Path) -> None:
        self._transport = FolderTransport(folder)
        matches = [_FILE.fullmatch(one.name) for one in sorted(folder.iterdir())]
        found = [(one[0], spot_of(one[1])) for one in matches if one]
        self._files = [(name, spot) for name, spot in found if spot is not None]

    def __bool__(self) -> bool:
        """Whether any alerts were recorded."""
        return bool(self._files)

    def begin(self, total_deadline_s: float) -> None:
        """Start a morning."""

    def get(self, path: str, if_modified_since: str | None = None) -> Answer:
        """The recorded answer; `ForecastError` where none is near enough."""
        written = path.partition("point=")[2]
        place = spot_of(written)
        near = [(apart_km(place, spot), name) for name, spot in self._files] if place else []
        distance_km, name = min(near, default=(float("inf"), ""))
        if distance_km > ALERTS_MAX_KM:
            raise ForecastError(
                f"the folder of recorded answers has no alerts_{written[:40]}.json",
                False,
                gone=True,
            )
        return Answer(self._transport.read(name))
