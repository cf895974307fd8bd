"""The forecast of a morning, row by row, as named issues of the archive."""

from base64 import b64decode, b64encode
from collections.abc import Mapping, Sequence
from dataclasses import fields, replace
from datetime import datetime
from typing import Any

import numpy as np

from agronomy.hourly_forecast import QUANTITIES, CellForecast, HourlyForecast, on_common_hours
from storage.errors import StorageError
from storage.forecast_block import packed, unpacked
from storage.forecast_store import ForecastStore

Kept = dict[str, Any]


class RowLostError(Exception):
    """An issue that a plan was made from is not kept any more."""


#: Rows held against the archive together, so that it is not read whole at once. Judgement.
ROWS_AT_ONCE = 250


def kept_rows(
    forecast: HourlyForecast, now: datetime, archive: ForecastStore, at_once: int = ROWS_AT_ONCE
) -> list[Kept]:
    """Each row as the issue it is; as a block where the archive does not give it back exactly."""
    parts = range(0, len(forecast.cell_ids), at_once)
    return [
        row
        for first in parts
        for row in _kept(_some_rows(forecast, first, first + at_once), now, archive)
    ]


def _some_rows(forecast: HourlyForecast, first: int, end: int) -> HourlyForecast:
    by_row = (one.name for one in fields(HourlyForecast) if one.name != "start_utc")
    return replace(forecast, **{name: getattr(forecast, name)[first:end] for name in by_row})


def _kept(forecast: HourlyForecast, now: datetime, archive: ForecastStore) -> list[Kept]:
    try:
        cells = _archived(forecast, archive)
    except StorageError:
        # A damaged archive must not cost anybody the morning.
        cells = [
            (cell_id, None, problem)
            for cell_id, problem in zip(forecast.cell_ids, forecast.problem, strict=True)
        ]
    rows: list[Kept] = [
        {"cell": cell_id, "issued": _iso(issued), "problem": problem}
        for (cell_id, _, problem), issued in zip(cells, forecast.issued_utc, strict=True)
    ]
    again = on_common_hours(cells, forecast.start_utc, forecast.hours)
    for row, kept_row in enumerate(rows):
        if not _same_row(forecast, again, row):
            kept_row["block"] = b64encode(packed(_as_cell(forecast, row, now))).decode()
        elif not forecast.source[row]:
            kept_row["none"] = True
    return rows


def _archived(
    forecast: HourlyForecast, archive: ForecastStore
) -> list[tuple[str, CellForecast | None, str]]:
    """The issue that the archive holds for each row, None where it holds none."""
    latest = archive.latest_many([one for one in forecast.cell_ids if not _nameless(one)])
    cells = []
    for row, cell_id in enumerate(forecast.cell_ids):
        issued, kept = forecast.issued_utc[row], latest.get(cell_id)
        if kept is not None and kept.issued_utc != issued:
            kept = None if issued is None else archive.on(cell_id, issued)
        cells.append((cell_id, kept if forecast.source[row] else None, forecast.problem[row]))
    return cells


def forecast_of_rows(
    rows: Sequence[Mapping[str, Any]], start_utc: datetime, archive: ForecastStore
) -> HourlyForecast:
    """The forecast that `kept_rows` was made from.

    Raises
    ------
    RowLostError
        An issue is not kept any more.
    """
    cells = [(row["cell"], _cell_of(row, archive), row["problem"]) for row in rows]
    return on_common_hours(cells, start_utc)


def _cell_of(row: Mapping[str, Any], archive: ForecastStore) -> CellForecast | None:
    if "block" in row:
        return unpacked(b64decode(row["block"]))
    if row.get("none"):
        return None
    issued = row["issued"]
    kept = archive.on(row["cell"], None if issued is None else datetime.fromisoformat(issued))
    if kept is None:
        raise RowLostError(
            f"the forecast of cell {row['cell']} issued {issued} is not kept any more; "
            "[forecast] keep_days says how long issues are"
        )
    return kept


def _same_row(one: HourlyForecast, other: HourlyForecast, row: int) -> bool:
    return all(
        _same(getattr(one, each.name), getattr(other, each.name), row)
        for each in fields(HourlyForecast)
        if each.name != "start_utc"
    )


def _same(one: Any, other: Any, row: int) -> bool:
    if len(one) <= row or len(other) <= row:
        return len(one) == len(other)
    if isinstance(one, np.ndarray):
        return bool(np.array_equal(one[row], other[row], equal_nan=True))
    return bool(one[row] == other[row])


def _as_cell(forecast: HourlyForecast, row: int, now: datetime) -> CellForecast:
    return CellForecast(
        cell_id=forecast.cell_ids[row],
        source=forecast.source[row],
        issued_utc=forecast.issued_utc[row],
        fetched_utc=now,
        start_utc=forecast.start_utc,
        hourly={name: getattr(forecast, name)[row] for name in QUANTITIES},
        elevation_ft=float(forecast.elevation_ft[row]),
        rejected=forecast.rejected[row] if forecast.rejected else (),
    )


def _nameless(cell_id: str) -> bool:
    return cell_id.startswith("field:")


def _iso(moment: datetime | None) -> str | None:
    return None if moment is None else moment.isoformat()
