"""Answers of the weather service, bytes to hourly arrays, in answers a second on one core.

    python -m benchmarks.parse [--seconds 2]

Reads the project's own invented answers and, where RECORDED_ANSWERS names a folder that holds
any, answers as the service sent them. Three ways on the same bytes in the same run: only decoding
the JSON into typed values, which no reader can beat; the whole of `read_forecast`; and the plain
way with json and pandas. The goal is 2,000 a second, and 20 times the plain way. Times are of the
processor, best of several rounds, so that a busy machine does not decide.
"""

import argparse
import json
import os
import platform
import time
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pandas as pd

from forecasts.nws_answer import envelope
from forecasts.nws_forecast import read_forecast
from forecasts.nws_layers import VARIABLE_MAP
from scheduler.demo.cells import CELLS

#: The moment the answers are read at; it changes nothing that is timed.
NOW = datetime(2026, 11, 25, tzinfo=UTC)

#: Layers compared between the two ways, and what the plain way's number becomes in ours.
CHECKED: dict[str, Callable[[float], float]] = {
    "temperature": lambda celsius: celsius * 1.8 + 32,
    "relativeHumidity": lambda percent: percent,
    "windSpeed": lambda km_h: km_h / 1.609344,
    "quantitativePrecipitation": lambda mm: mm / 25.4,
}

#: How near the two must be, in our units: ours goes back to the whole degree it came from.
NEAR = 0.02


def main() -> None:
    """Time every set of answers and print the table."""
    told = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    told.add_argument("--seconds", type=float, default=2.0, help="time spent on each number")
    seconds = told.parse_args().seconds
    print(f"{platform.machine()}, Python {platform.python_version()}, numpy {np.__version__}")
    print(f"{'answers':22}{'kB each':>8}{'decode only':>13}{'ours':>9}{'plain':>8}{'ratio':>8}")
    for name, bodies in _sets():
        if wrong := [layer for body in bodies for layer in differing_layers(body)]:
            raise SystemExit(f"the two ways differ in {', '.join(sorted(set(wrong)))}")
        floor = _rate(envelope, bodies, seconds)
        ours = _rate(_ours, bodies, seconds)
        plain = _rate(plain_forecast, bodies, seconds)
        size_kb = sum(len(body) for body in bodies) / len(bodies) / 1000
        print(
            f"{f'{len(bodies)} {name}':22}{size_kb:8.0f}{floor:11.0f}/s{ours:7.0f}/s"
            f"{plain:6.0f}/s{ours / plain:7.0f}x"
        )


def _sets() -> list[tuple[str, list[bytes]]]:
    sets = [("invented", [json.dumps(cell.answer()).encode() for cell in CELLS.values()])]
    folder = os.environ.get("RECORDED_ANSWERS")
    files = sorted(Path(folder).glob("payloads/nws_gridpoints/*.json")) if folder else []
    if files:
        sets.append(("recorded", [file.read_bytes() for file in files]))
    return sets


def _rate(read: Callable[[bytes], object], bodies: Sequence[bytes], seconds: float) -> float:
    """Answers a second of the processor, the best round of those that fit the time."""
    best_s, begun = float("inf"), time.monotonic()
    while best_s == float("inf") or time.monotonic() - begun < seconds:
        before = time.thread_time()
        for body in bodies:
            read(body)
        best_s = min(best_s, (time.thread_time() - before) / len(bodies))
    return 1 / best_s


def _ours(body: bytes) -> object:
    return read_forecast(body, now=NOW)


def plain_forecast(body: bytes) -> pd.DataFrame:
    """The same layers the plain way: json, a date range for each interval, one table."""
    told = json.loads(body)["properties"]
    columns = {}
    for name, layer in VARIABLE_MAP.items():
        pieces = []
        for entry in told.get(name, {}).get("values", []):
            start, _, length = entry["validTime"].partition("/")
            hours = int(pd.Timedelta(length) / pd.Timedelta(hours=1))
            value = entry["value"]
            if layer.told == "total" and value is not None:
                value = value / hours
            at = pd.date_range(start, periods=hours, freq="h")
            pieces.append(pd.Series(value, index=at, dtype=float))
        if pieces:
            column = pd.concat(pieces)
            columns[name] = column[~column.index.duplicated()]
    return pd.DataFrame(columns)


def differing_layers(body: bytes) -> list[str]:
    """The layers of `CHECKED` of which the two ways tell different hours."""
    ours, plain = read_forecast(body, now=NOW), plain_forecast(body)
    differing = []
    for name, convert in CHECKED.items():
        known = plain[name].dropna()
        hours = (known.index - pd.Timestamp(ours.start_utc)) // pd.Timedelta(hours=1)
        got = ours.hourly[VARIABLE_MAP[name].name]
        inside = (hours >= 0) & (hours < len(got))
        wanted = np.array([convert(value) for value in known[inside]])
        near = np.abs(got[hours[inside]] - wanted) <= NEAR
        if not (near.all() and (~np.isnan(got)).sum() == inside.sum()):
            differing.append(name)
    return differing


if __name__ == "__main__":
    main()
