"""First-freeze dates of the climate from a station's daily lows: a CSV with date and low_f."""

import csv
from datetime import date, timedelta
from pathlib import Path
from statistics import median

import numpy as np

from agronomy.first_freezes import first_freezes
from agronomy.thresholds import SprayGates
from config.inside_folder import inside_folder
from config.key_path import Path as KeyPath
from config.key_path import value_at
from config.masked import shown
from config.problem import Findings

COLUMNS = ("date", "low_f")
#: Lows outside are slips of the pen or codes for "missing" [F].
LOWEST_F, HIGHEST_F = -60.0, 100.0
#: Middle of the lows of July and August below which they must be Celsius [F]. Judgement: cotton
#: country has 60 F and more.
SUMMER_LOW_MIN_F = 45.0
MISSING = {"", "m", "na", "nan", "t"}

_STAND_IN = {
    "first_freeze_mean": "10-31",
    "first_freeze_sd_days": 10.0,
    "killing_freeze_mean": "10-31",
    "killing_freeze_sd_days": 10.0,
}

Lows = dict[date, float]
Fault = tuple[KeyPath, str]


def with_daily_lows(
    raw: dict[str, object], folder: Path, findings: Findings
) -> tuple[dict[str, object], list[Fault]]:
    """The configuration with first-freeze figures filled in where it names daily lows.

    Figures written by hand stand. Faults of a CSV go to ``findings`` with their line.

    Returns
    -------
    tuple
        The tables, and the faults of the keys as (path, words).
    """
    faults: list[Fault] = []
    places: list[KeyPath] = [("climate",)]
    if isinstance(regions := raw.get("regions"), dict):
        places += [("regions", name, "climate") for name in regions]
    filled = raw
    for place in places:
        named = value_at(raw, (*place, "daily_lows"))
        if not isinstance(named, str):
            continue
        # Figures that stand in for a file at fault, so that it is not told as missing keys too.
        figures: dict[str, object] = dict(_STAND_IN)
        try:
            lows = read_daily_lows(inside_folder(folder, named), findings)
            if lows is not None:
                figures = freeze_figures(lows, _killing_f(raw, place))
        except ValueError as error:
            faults.append(((*place, "daily_lows"), str(error)))
        filled = _filled(filled, place, figures)
    return filled, faults


def read_daily_lows(file: Path, findings: Findings) -> Lows | None:
    """Lows by date [F], days marked missing left out; None where a fault was found."""
    try:
        text = file.read_text("utf-8-sig")
    except (OSError, UnicodeDecodeError):
        findings.error(str(file), 1, "file", "got no UTF-8 text to read, wanted a CSV; check it")
        return None
    rows = csv.DictReader(text.splitlines())
    names = [(name or "").strip().casefold() for name in rows.fieldnames or ()]
    rows.fieldnames = names
    if any(name not in names for name in COLUMNS):
        words = f"got the columns {', '.join(names) or 'none'}, wanted date and low_f in deg F"
        findings.error(str(file), 1, "header", f"{words}; rename or convert them")
        return None
    before, lows = len(findings.errors), dict[date, float]()
    for row in rows:
        _read_row(file, rows.line_num, row, lows, findings)
        if len(findings.errors) > before + 20:
            break
    if len(findings.errors) == before:
        _check_unit(file, lows, findings)
    return lows if len(findings.errors) == before else None


def _read_row(
    file: Path, line: int, row: dict[str, str | None], lows: Lows, findings: Findings
) -> None:
    if row["low_f"] is None:
        findings.error(str(file), line, "low_f", "got no cell, wanted two in the row; add it")
        return
    told, text = (row["date"] or "").strip(), row["low_f"].strip()
    try:
        day = date.fromisoformat(told)
    except ValueError:
        words = f'got {shown(told)}, wanted a day as "2019-10-27"; write it so'
        findings.error(str(file), line, "date", words)
        return
    if text.casefold() in MISSING:
        return
    try:
        low = float(text)
    except ValueError:
        low = float("nan")
    if not LOWEST_F <= low <= HIGHEST_F:
        words = f"got {shown(text)}, wanted deg F from {LOWEST_F:g} to {HIGHEST_F:g}"
        findings.error(str(file), line, "low_f", f"{words}; leave the cell empty if missing")
    elif lows.setdefault(day, low) != low:
        words = f"got {low:g} for {day}, which has {lows[day]:g} above; delete one"
        findings.error(str(file), line, "low_f", words)


def _check_unit(file: Path, lows: Lows, findings: Findings) -> None:
    summer = [low for day, low in lows.items() if day.month in (7, 8)]
    if summer and median(summer) < SUMMER_LOW_MIN_F:
        words = (
            f"got {median(summer):g} in the middle of July and August, wanted deg F; "
            "it looks like Celsius: convert the column"
        )
        findings.error(str(file), 1, "low_f", words)


def freeze_figures(lows: Lows, killing_f: float) -> dict[str, object]:
    """Keys of the climate table from daily lows, for 32 F and the killing line.

    Raises
    ------
    ValueError
        Too few seasons, or first freezes that come after December in the middle.
    """
    days = np.array(list(lows), dtype="datetime64[D]")
    figures: dict[str, object] = {}
    for name, line_f in (("first", 32.0), ("killing", killing_f)):
        if not lows:
            raise ValueError("got no lows, wanted daily lows of five seasons and more; add them")
        found = first_freezes(days, list(lows.values()), line_f)
        if found.mean_day > 365:
            raise ValueError(
                f"got a mean first {line_f:g} F after December, wanted one in autumn; "
                "is it a station of another climate?"
            )
        mean = date(2025, 1, 1) + timedelta(days=round(found.mean_day) - 1)
        figures[f"{name}_freeze_mean"] = f"{mean:%m-%d}"
        figures[f"{name}_freeze_sd_days"] = max(round(found.sd_days, 1), 0.1)
        figures[f"{name}_freeze_share_frac"] = round(found.share_frac, 3)
    return figures


def _killing_f(raw: dict[str, object], place: KeyPath) -> float:
    for path in ((*place[:-1], "gates", "killing_f"), ("gates", "killing_f")):
        told = value_at(raw, path)
        if isinstance(told, (int, float)) and not isinstance(told, bool):
            return float(told)
    return SprayGates().killing_f


def _filled(
    table: dict[str, object], place: KeyPath, figures: dict[str, object]
) -> dict[str, object]:
    if not place:
        return figures | table
    inner = table[str(place[0])]
    assert isinstance(inner, dict)
    return table | {str(place[0]): _filled(inner, place[1:], figures)}
