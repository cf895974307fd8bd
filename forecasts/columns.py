"""Columns of values with the hours they are told for, laid out hour by hour in house units."""

import math
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from typing import Any, NamedTuple

import numpy as np

from agronomy.hourly_forecast import QUANTITIES, Hours
from forecasts.nws_layers import LAYERS, LONGEST_H
from forecasts.runs import Real, Runs, Whole, by_hour
from forecasts.units import AS_IT_IS, to_house

#: Our quantities: what growers call them, their house unit, and the bounds of what can be true.
QUANTITY = {one.name: one for one in LAYERS}

#: First hours of 2000 and of 2100 [h since 1970 UTC]; a forecast of another century is none.
FIRST_HOUR, LAST_HOUR = (
    int(datetime(year, 1, 1, tzinfo=UTC).timestamp()) // 3600 for year in (2000, 2100)
)


class Column(NamedTuple):
    """One quantity as a provider tells it.

    ``name`` is ours. ``unit`` is the provider's, by the names of `forecasts.units`, None where it
    tells none. ``value[i]`` holds from hour ``first[i]`` up to ``end[i]`` [h since 1970 UTC], or
    is the total of these hours where ``total``.
    """

    name: str
    unit: str | None
    first: Whole
    end: Whole
    value: Sequence[Any]
    total: bool = False


class Laid(NamedTuple):
    """A grid, a row for each column in house units, from hour ``start``; and what was refused."""

    start: int
    grid: Hours
    refused: tuple[str, ...]


def lay_out_columns(columns: Sequence[Column]) -> Laid:
    """Lay columns on one grid of hours.

    Parameters
    ----------
    columns
        What was told. A name may stand more than once, as with the members of an ensemble.

    Returns
    -------
    Laid
        From the first hour of any column to the last with a value, at most `LONGEST_H` hours, so
        that hours at the end which nobody knows shorten it. A column with an unknown unit, a
        value that is no number, or one beyond what can be true is NaN throughout and named.
    """
    refused: list[str] = []
    values = [_house(one, refused) for one in columns]
    sizes = [one.size for one in values]
    row = np.repeat(np.arange(len(columns)), sizes)
    runs = Runs(
        row,
        np.concatenate([one.first for one in columns]) if columns else np.zeros(0, np.int64),
        np.concatenate([one.end for one in columns]) if columns else np.zeros(0, np.int64),
        np.concatenate(values) if columns else np.zeros(0),
    )
    known = ~np.isnan(runs.value)
    start = int(runs.first.min()) if row.size else 0
    hours = int(runs.end[known].max()) - start if known.any() else 0
    totals = np.array([one.total for one in columns], dtype=bool)
    grid, torn = by_hour(runs.split(totals), len(columns), start, min(hours, LONGEST_H))
    for one, times in zip(columns, torn.tolist(), strict=True):
        if times:
            refused.append(QUANTITY[one.name].told_twice(times))
    return Laid(start, grid, tuple(dict.fromkeys(refused)))


def rows_by_name(columns: Sequence[Column], grid: Hours) -> dict[str, Hours]:
    """The rows of a grid by quantity, every quantity of the contract, NaN where none was told."""
    rows = dict(zip([one.name for one in columns], grid, strict=True))
    nothing = np.full(grid.shape[1], np.nan, dtype=np.float32)
    return {name: rows.get(name, nothing).copy() for name in QUANTITIES}


def first_hours(chance: Column) -> Column:
    """The first hour of each interval a chance is told for, as a column of its own."""
    named = [
        None if one is None else first
        for first, one in zip(chance.first.tolist(), chance.value, strict=True)
    ]
    return chance._replace(name="rain_chance_from_h", unit="hour", value=named)


def hours_believed(hours: Sequence[int]) -> bool:
    """Whether hours since 1970 can be those of a forecast."""
    return bool(hours) and min(hours) >= FIRST_HOUR and max(hours) < LAST_HOUR


def written(unit: str | None, names: Mapping[str, str]) -> str | None:
    """A provider's unit by the names of `forecasts.units`, as it stands where it is another."""
    return unit if unit is None else names.get(unit, unit)


def _house(column: Column, refused: list[str]) -> Real:
    nothing = np.full(column.first.size, np.nan)
    if column.name == "rain_chance_from_h":
        return _numbers(column.value)
    quantity = QUANTITY[column.name]
    try:
        numbers = _numbers(column.value)
        unit = to_house(quantity.kind, column.unit) if numbers.size else AS_IT_IS
    except ValueError as error:
        refused.append(f"{quantity.words}: {error}")
        return nothing
    house = numbers * unit.factor + unit.offset
    beyond = (house < quantity.low) | (house > quantity.high)
    if beyond.any():
        refused.append(quantity.beyond(float(house[beyond][0])))
        return nothing
    return house


def _numbers(values: Sequence[Any]) -> Real:
    wrong = [one for one in values if one is not None and not _is_number(one)]
    if wrong:
        raise ValueError(f"got {str(wrong[0])[:40]!r}, wanted a number")
    return np.array([np.nan if one is None else one for one in values], dtype=float)


def _is_number(value: Any) -> bool:
    # A whole number may be too long for a float.
    if isinstance(value, bool) or not isinstance(value, int | float):
        return False
    return abs(value) < 1e300 and math.isfinite(value)
