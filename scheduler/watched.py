"""What was observed for a farm, and which archived forecasts it is held against."""

import math
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from farm.field import Field
from forecasts.folder import FolderTransport
from forecasts.matched import WatchedPlace
from forecasts.observed import Observed, ObservedDays, ObservedReports
from forecasts.observed_file import DailyRecord, ObservedFileError, read_observed_file
from forecasts.settings import ForecastSettings
from forecasts.sources import Sources
from forecasts.station import read_station
from scheduler.data_error import DataError
from scheduler.opening import OpenFarm, find_field

#: Days of reports a station is asked for; the service keeps about a week [days].
STATION_DAYS = 7
#: Miles in a degree of latitude [mi].
MILES_PER_DEGREE = 69.09


@dataclass(frozen=True)
class Watched:
    """Observations of one place. ``field`` is the registered field they stand for: the one they
    were made at where ``own``, else one of the nearest cell. ``cells`` are the cells of archived
    forecasts for it, ``words`` tells people whose observations these are.
    """

    words: str
    field: Field
    own: bool
    place: WatchedPlace
    observed: Observed
    cells: frozenset[str]


def watched_file(farm: OpenFarm, file: Path, cells_of: Mapping[str, set[str]]) -> list[Watched]:
    """The places of a user's record; without a column ``field`` that of most fields' cell.

    Raises
    ------
    DataError
        The record cannot be used, or names a field that is not registered.
    """
    try:
        records = read_observed_file(file)
    except ObservedFileError as fault:
        raise DataError(fault.lines) from None
    found = []
    for name, record in records.items():
        own = bool(name)
        if own:
            field = find_field(name, farm.fields_by_id)
            words = f"{file.name}, {field.name}"
        else:
            field = _of_most_common_cell(farm.config.fields, cells_of)
            words = f"{file.name}, taken for the forecast cell of {field.name}"
        zone = ZoneInfo(field.time_zone)
        place = WatchedPlace(
            field.latitude, field.longitude, zone, field.cold_spot_f if own else 0.0
        )
        cells = frozenset(cells_of.get(field.id, ()))
        found.append(Watched(words, field, own, place, _days(record, zone), cells))
    return found


def watched_station(farm: OpenFarm, station: str, cells_of: Mapping[str, set[str]]) -> Watched:
    """A weather station, held against the cell of the field nearest to it.

    Raises
    ------
    ForecastError
        The service has no usable answer.
    DataError
        It has no reports.
    """
    sources = Sources(farm.config.settings.forecast, farm.config.folder)
    if sources.settings.source == "folder":
        reports = read_station(FolderTransport(sources.folder()), station)
    else:
        _refuse_nameless(sources.settings, station)
        span = (farm.now - timedelta(days=STATION_DAYS), farm.now)
        reports = read_station(sources.us_client(), station, span)
    if not reports.time_utc.size:
        raise DataError(
            [f"station {reports.station}: got no reports, wanted some; is the id right?"]
        )
    return _at_station(farm.config.fields, reports, cells_of)


def _refuse_nameless(settings: ForecastSettings, station: str) -> None:
    """`DataError` where the US service, which alone tells stations, cannot be asked."""
    for key, value, wanted in (
        ("address", settings.address, "where the US National Weather Service answers"),
        ("contact", settings.contact, "a mail address it can write to"),
    ):
        if not value:
            raise DataError(
                [
                    f"station {station}: stations are asked of the US National Weather Service, "
                    f"and [forecast] {key} is missing, wanted {wanted}; enter it, or use "
                    "--observed FILE"
                ]
            )


def _at_station(
    fields: Iterable[Field], reports: ObservedReports, cells_of: Mapping[str, set[str]]
) -> Watched:
    known = not math.isnan(reports.latitude)
    near = min(fields, key=lambda one: _miles(one, reports)) if known else None
    field = near or _of_most_common_cell(tuple(fields), cells_of)
    far = f"{_miles(field, reports):.0f} mi from {field.name}" if known else "place not told"
    place = WatchedPlace(
        reports.latitude if known else field.latitude,
        reports.longitude if known else field.longitude,
        ZoneInfo(field.time_zone),
    )
    words = f"station {reports.station}, {far}, {reports.time_utc.size} reports"
    cells = frozenset(cells_of.get(field.id, ()))
    return Watched(words, field, False, place, reports, cells)


def cells_by_field(farm: OpenFarm, inputs: Iterable[Mapping[str, object]]) -> dict[str, set[str]]:
    """Every cell that a field's forecasts were taken from, by the plans' inputs and as kept now."""
    found: dict[str, set[str]] = {}
    for one in inputs:
        cells = one.get("cells")
        for field_id, cell_id in (cells if isinstance(cells, dict) else {}).items():
            if not str(cell_id).startswith("field:"):
                found.setdefault(field_id, set()).add(cell_id)
    for field in farm.config.fields:
        cell = farm.stores.forecasts.grid_cell(field.latitude, field.longitude)
        if cell is not None:
            found.setdefault(field.id, set()).add(cell.id)
    return found


def _of_most_common_cell(fields: tuple[Field, ...], cells_of: Mapping[str, set[str]]) -> Field:
    by_cells = Counter(frozenset(cells_of.get(one.id, ())) for one in fields)
    by_cells.pop(frozenset(), None)
    if not by_cells:
        return fields[0]
    common = by_cells.most_common(1)[0][0]
    return next(one for one in fields if frozenset(cells_of.get(one.id, ())) == common)


def _days(record: DailyRecord, zone: ZoneInfo) -> ObservedDays:
    return ObservedDays(zone, record.lows_f, record.highs_f, record.rains_in)


def _miles(field: Field, reports: ObservedReports) -> float:
    north = field.latitude - reports.latitude
    east = (field.longitude - reports.longitude) * math.cos(math.radians(field.latitude))
    return MILES_PER_DEGREE * math.hypot(north, east)
