"""The members of an ensemble for some places, asked of Open-Meteo, many places in one question."""

from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Protocol

from forecasts.cells import Place, cell_holds
from forecasts.errors import ForecastError
from forecasts.folder import FolderTransport
from forecasts.folder_points import RecordedPoints
from forecasts.open_meteo import PROVIDER, ask_points, ask_run, question
from forecasts.open_meteo_ensemble import VARIABLES, EnsembleForecast, read_ensemble
from forecasts.open_meteo_runs import ENSEMBLE_DAYS, ENSEMBLE_MODEL, ENSEMBLE_RUN
from forecasts.square import Spot, on_lattice
from forecasts.transport import Transport

#: Where it answers without a key, and with one.
FREE_ADDRESS = "https://ensemble-api.open-meteo.com"
KEY_ADDRESS = "https://customer-ensemble-api.open-meteo.com"

#: Points asked for in one question. Two variables of 31 members count as 62 where 10 are one
#: question, so that at the pace of `open_meteo.FREE_REQUESTS_PER_SECOND` 4 x 6.2 x 0.4 x 60 = 595
#: are counted a minute, where 600 are free.
POINTS_AT_ONCE = 4

#: Questions without an answer in a row after which nobody is asked any more. Judgement.
MOST_MISSED = 2

NOT_ASKED = "the ensemble was not asked for any more, there is no answer"
ANOTHER_PLACE = "the answer of the ensemble is for another place"

Told = EnsembleForecast | ForecastError


class EnsembleSource(Protocol):
    """What tells members for places."""

    def begin(self, total_deadline_s: float) -> None:
        """Start a morning that may take this long [s]."""

    def fetch(self, places: Iterable[Place], now: datetime) -> dict[str, Told]:
        """The members for each place, by field, or why there are none."""


class OpenMeteoMembers:
    """Asks Open-Meteo through a transport."""

    def __init__(self, transport: Transport, api_key: str | None = None) -> None:
        self._transport, self._api_key = transport, api_key

    def begin(self, total_deadline_s: float) -> None:
        """Start a morning that may take this long [s]."""
        self._transport.begin(total_deadline_s)

    def fetch(self, places: Iterable[Place], now: datetime) -> dict[str, Told]:
        """The members for each place, by field; places that lie together share a point."""
        at: dict[str, Spot] = {}
        lies_at: list[tuple[Place, str]] = []
        for one in places:
            spot = on_lattice(one.latitude, one.longitude)
            at[spot.written] = spot
            lies_at.append((one, spot.written))
        told = self._told(list(at.values()), now)
        return {one.field_id: _for_place(told[spot], one) for one, spot in lies_at}

    def _told(self, spots: Sequence[Spot], now: datetime) -> dict[str, Told]:
        issued_utc = self._issued_utc() if spots else None
        told: dict[str, Told] = {}
        missed = 0
        for first in range(0, len(spots), POINTS_AT_ONCE):
            some = spots[first : first + POINTS_AT_ONCE]
            if missed == MOST_MISSED:
                told |= {one.written: ForecastError(NOT_ASKED, True) for one in some}
                continue
            try:
                told |= self._ask(some, now, issued_utc)
                missed = 0
            except ForecastError as error:
                told |= {one.written: error for one in some}
                missed += error.recoverable
        return told

    def _ask(
        self, spots: Sequence[Spot], now: datetime, issued_utc: datetime | None
    ) -> dict[str, Told]:
        path = f"/v1/ensemble?{question(spots, VARIABLES, ENSEMBLE_MODEL, ENSEMBLE_DAYS)}"
        points = ask_points(self._transport, path, self._api_key, len(spots))
        told: dict[str, Told] = {}
        for spot, point in zip(spots, points, strict=True):
            cell_id = f"{PROVIDER}:{spot.written}"
            try:
                told[spot.written] = read_ensemble(
                    point, cell_id=cell_id, now=now, issued_utc=issued_utc
                )
            except ForecastError as error:
                told[spot.written] = error
        return told

    def _issued_utc(self) -> datetime | None:
        # Before the members, so that a run that comes out in between makes us think it older.
        try:
            return ask_run(self._transport, ENSEMBLE_RUN, self._api_key)
        except ForecastError:
            return None


class RecordedMembers:
    """Replays the members recorded in a folder."""

    def __init__(self, transport: FolderTransport) -> None:
        self._points = RecordedPoints(transport.folder, transport.read)

    def begin(self, total_deadline_s: float) -> None:
        """Start a morning; files may have changed since the last."""
        self._points.begin()

    def fetch(self, places: Iterable[Place], now: datetime) -> dict[str, Told]:
        """The members recorded for each place, by field."""
        told: dict[str, Told] = {}
        for one in places:
            try:
                members = self._points.members(one.latitude, one.longitude, now)
            except ForecastError as error:
                told[one.field_id] = error
            else:
                told[one.field_id] = _for_place(members, one)
        return told


def _for_place(told: Told, place: Place) -> Told:
    if isinstance(told, ForecastError):
        return told
    if not cell_holds(told.cell_id, told.outline, place.latitude, place.longitude):
        return ForecastError(ANOTHER_PLACE, False)
    return told
