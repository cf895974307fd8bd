"""A user's own record of daily lows, highs and rain: a CSV with units in its header."""

import csv
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from statistics import median

#: The columns of figures, and what can be true in them [F, F, inch].
FIGURES: dict[str, tuple[float, float]] = {
    "low_f": (-60.0, 100.0),
    "high_f": (-40.0, 135.0),
    "rain_in": (0.0, 20.0),
}

#: Middle of the lows of May to September, and of the highs of May to October, below which a
#: record must be Celsius [F]. Judgement: cotton country has 45 F and 60 F and more, and no more
#: than 28 C and 40 C.
WARM_LOW_MIN_F, WARM_HIGH_MIN_F = 30.0, 42.0

MISSING = {"", "m", "na", "nan", "t"}

#: Faults told before the rest of a file is left unread.
MOST_FAULTS = 20

#: Beginnings of column names that mean one of ours in another unit.
_LIKE = {
    "low_f": ("low", "min", "tmin"),
    "high_f": ("high", "max", "tmax"),
    "rain_in": ("rain", "prec", "prcp"),
}


class ObservedFileError(ValueError):
    """A record that cannot be used; ``lines`` tells each fault with its place."""

    def __init__(self, lines: Sequence[str]) -> None:
        super().__init__("; ".join(lines))
        self.lines = tuple(lines)


@dataclass
class DailyRecord:
    """Figures of one field, or of the place, by date."""

    lows_f: dict[date, float] = field(default_factory=dict)
    highs_f: dict[date, float] = field(default_factory=dict)
    rains_in: dict[date, float] = field(default_factory=dict)

    def of(self, column: str) -> dict[date, float]:
        """The figures of a column."""
        return {"low_f": self.lows_f, "high_f": self.highs_f, "rain_in": self.rains_in}[column]


def read_observed_file(file: Path) -> dict[str, DailyRecord]:
    """The records in a CSV by field, under "" where it has no column ``field``.

    Columns are ``date``, any of ``low_f``, ``high_f`` and ``rain_in``, and perhaps ``field``;
    others are passed over. A date's low is that of its morning. An empty cell was not observed.

    Raises
    ------
    ObservedFileError
        The file cannot be read, a cell is not what its column says, or it looks like Celsius.
    """
    try:
        text = file.read_text("utf-8-sig")
    except (OSError, UnicodeDecodeError):
        raise ObservedFileError(
            [f"{file}: file: got no UTF-8 text to read, wanted a CSV; check it"]
        ) from None
    rows = csv.DictReader(text.splitlines())
    rows.fieldnames = [(name or "").strip().casefold() for name in rows.fieldnames or ()]
    faults = _header_faults(file, rows.fieldnames)
    records: dict[str, DailyRecord] = {}
    if not faults:
        for row in rows:
            faults += _read_row(f"{file}:{rows.line_num}", row, records)
            if len(faults) >= MOST_FAULTS:
                break
    faults = faults or _celsius_faults(file, records)
    if faults or not any(one.of(column) for one in records.values() for column in FIGURES):
        raise ObservedFileError(faults or [f"{file}: got no figures, wanted rows with some"])
    return records


def _header_faults(file: Path, names: Sequence[str]) -> list[str]:
    where = f"{file}:1: header:"
    told = ", ".join(name for name in names if name) or "none"
    foreign = [
        f"{where} got {name}, wanted {ours}; convert the column and rename it"
        for ours, starts in _LIKE.items()
        for name in names
        if ours not in names and name.startswith(starts)
    ]
    if foreign:
        return foreign
    if "date" not in names or not any(name in names for name in FIGURES):
        wanted = "date and some of low_f, high_f (deg F) and rain_in (inch)"
        return [f"{where} got the columns {told}, wanted {wanted}; rename or convert them"]
    return []


def _read_row(
    where: str, row: Mapping[str, str | None], records: dict[str, DailyRecord]
) -> list[str]:
    if not any((cell or "").strip() for name, cell in row.items() if name in ("date", *FIGURES)):
        return []
    told = (row.get("date") or "").strip()
    try:
        day = date.fromisoformat(told)
    except ValueError:
        return [f'{where}: date: got "{told[:40]}", wanted a day as "2026-10-27"; write it so']
    record = records.setdefault((row.get("field") or "").strip(), DailyRecord())
    return [
        fault
        for column, (least, most) in FIGURES.items()
        if (text := (row.get(column) or "").strip()).casefold() not in MISSING
        and (fault := _take(where, column, text, least, most, record.of(column), day))
    ]


def _take(
    where: str,
    column: str,
    text: str,
    least: float,
    most: float,
    figures: dict[date, float],
    day: date,
) -> str:
    try:
        value = float(text)
    except ValueError:
        value = float("nan")
    if not least <= value <= most:
        unit = "inches" if column == "rain_in" else "deg F"
        wanted = f"wanted {unit} from {least:g} to {most:g}"
        hint = "leave the cell empty if it was not observed"
        return f'{where}: {column}: got "{text[:40]}", {wanted}; {hint}'
    if figures.setdefault(day, value) != value:
        first = f"{figures[day]:g}"
        return f"{where}: {column}: got {value:g} for {day}, which has {first} above; delete one"
    return ""


def _celsius_faults(file: Path, records: Mapping[str, DailyRecord]) -> list[str]:
    faults = []
    for column, last_month, least_f in (
        ("low_f", 9, WARM_LOW_MIN_F),
        ("high_f", 10, WARM_HIGH_MIN_F),
    ):
        warm = [
            value
            for one in records.values()
            for day, value in one.of(column).items()
            if 5 <= day.month <= last_month
        ]
        if warm and median(warm) < least_f:
            months = f"May to {'September' if last_month == 9 else 'October'}"
            faults.append(
                f"{file}:1: {column}: got {median(warm):g} in the middle of {months}, wanted "
                "deg F; it looks like Celsius: convert the column"
            )
    return faults
