"""Recorded answers laid beside a farm's own: alerts, Open-Meteo's sixteen days, an ensemble."""

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from config.load import load
from forecasts.open_meteo_runs import RUNS
from forecasts.square import on_lattice
from tests.forecasts.point_answers import ensemble, open_meteo, runs
from tests.forecasts.test_alerts import alert, answer

#: The demo's morning, and the first hour of what is recorded here.
NOW = datetime(2026, 10, 6, 11, 10, tzinfo=UTC)
DAY = datetime(2026, 10, 6, tzinfo=UTC)

#: Sunday 18 October, 6 am in the Central zone; past the demo's own eight days.
FROZEN = datetime(2026, 10, 18, 11, tzinfo=UTC)

#: A dawn within the seven days of every window of the demo.
COLD_DAWN = datetime(2026, 10, 10, 12, tzinfo=UTC)

#: Of the 31 members those that freeze on that dawn.
FREEZING = 12


def spots(farm: Path) -> list[str]:
    """The points that the farm's fields are asked for at."""
    fields = load(farm / "farm.toml", {}).fields
    return sorted({on_lattice(one.latitude, one.longitude).written for one in fields})


def write_asides(farm: Path, issued_utc: datetime = NOW - timedelta(hours=4)) -> None:
    """Lay all of it beside the farm's answers, and have the farm look at it."""
    for spot in spots(farm):
        write_spot(farm / "answers", spot)
    for run in (*RUNS, "ncep_gefs025"):
        put(farm / "answers" / f"open_meteo_runs_{run}.json", runs(issued_utc))
    look_at_all(farm)


def look_at_all(farm: Path) -> None:
    """Have a farm with recorded answers look at all that is beside them."""
    config = farm / "farm.toml"
    text = config.read_text("utf-8")
    leads = 'source = "folder"\n'
    assert leads in text
    config.write_text(text.replace(leads, f'{leads}extend = "open_meteo"\nensemble = true\n'))


def write_spot(folder: Path, spot: str) -> None:
    """What is told for one point."""
    north, east = (float(one) for one in spot.split(","))
    temps = [60.0] * 384
    coldest = (FROZEN - DAY) // timedelta(hours=1)
    for step, below_f in enumerate((27.0, 36.0, 45.0, 54.0)):
        temps[coldest - step] = temps[coldest + step] = below_f
    told = open_meteo(384, DAY, latitude=north, longitude=east, temperature_2m=temps)
    put(folder / f"open_meteo_{spot}.json", told)
    members = ensemble(240, 31, DAY) | {"latitude": north, "longitude": east}
    for number in range(FREEZING):
        key = f"temperature_2m_member{number + 1:02d}"
        members["hourly"][key][(COLD_DAWN - DAY) // timedelta(hours=1)] = 30.0
    put(folder / f"open_meteo_ensemble_{spot}.json", members)
    (folder / f"alerts_{spot}.json").write_bytes(answer(alert("Freeze Watch")))


def put(file: Path, told: Any) -> None:
    file.write_text(json.dumps(told), "utf-8")
