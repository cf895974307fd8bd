"""A starter farm with a fixed clock, and a way to run commands as a person does."""

import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path
from uuid import uuid4

import pytest

from config.starter import write_starter
from dispatch.report import (
    Call,
    Factors,
    FieldCall,
    FollowUp,
    ForecastFigures,
    FreezeFigures,
    HourStrip,
    MaturityFigures,
    MorningReport,
    RunFigures,
    Window,
)
from farm.field import Field
from farm.records import Spray
from scheduler.commands import run

HOUSE = Path(__file__).resolve().parent.parent.parent
#: Tuesday 6 October 2026, 6 am in Chicago.
CLOCK = "2026-10-06T11:00:00Z"


@dataclass(frozen=True)
class Told:
    """What a command said on its two voices, and what it exited with."""

    code: int
    out: str
    err: str


@pytest.fixture
def warmspell(capsys: pytest.CaptureFixture[str]) -> Callable[..., Told]:
    """Run a command in this process: ``warmspell("rank", "--json")``."""

    def call(*arguments: object) -> Told:
        capsys.readouterr()
        code = run([str(one) for one in arguments])
        said = capsys.readouterr()
        assert "Traceback" not in said.out + said.err
        return Told(code, said.out, said.err)

    return call


@pytest.fixture(scope="session")
def demo_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's farm after its morning of Tuesday 6 October 2026; copy it before a change."""
    folder = tmp_path_factory.mktemp("demo_once") / "demo"
    assert run(["demo", "--out", str(folder)]) in (0, 3)
    return folder


@pytest.fixture
def process() -> Callable[..., subprocess.CompletedProcess[bytes]]:
    """Run a command in a process of its own, through the entry point."""

    def call(*arguments: object, **options: object) -> subprocess.CompletedProcess[bytes]:
        entry = "from scheduler.commands import main; main()"
        command = [sys.executable, "-c", entry, *(str(one) for one in arguments)]
        return subprocess.run(
            command, cwd=HOUSE, capture_output=True, timeout=60, check=False, **options
        )

    return call


@pytest.fixture
def killed_as_it_speaks() -> Callable[..., None]:
    """Run a command in a process that dies the moment the command says its first word."""

    def call(part: str, *arguments: object) -> None:
        entry = (
            f"import os; from scheduler.commands import {part} as part, run; "
            "part.say = lambda *_: os._exit(9); run(__import__('sys').argv[1:])"
        )
        command = [sys.executable, "-c", entry, *(str(one) for one in arguments)]
        told = subprocess.run(command, cwd=HOUSE, capture_output=True, timeout=60, check=False)
        assert (told.returncode, told.stdout) == (9, b"")

    return call


@pytest.fixture
def farm(tmp_path: Path) -> Path:
    """The config file of a starter farm whose clock stands at `CLOCK`."""
    folder = tmp_path / "farm"
    write_starter(folder)
    config = folder / "farm.toml"
    config.write_text(config.read_text("utf-8") + f"\n[replay]\nat = {CLOCK}\n", "utf-8")
    return config


def _field(field_id: str, name: str, acres: float = 118.0) -> Field:
    return Field(
        id=field_id,
        name=name,
        grower_id="vale",
        latitude=36.5,
        longitude=-97.5,
        acres=acres,
        time_zone="America/Chicago",
        treatment_id="mix",
    )


def _at(day: int, hour: int) -> datetime:
    return datetime(2026, 10, day, hour, tzinfo=UTC)


def _sprayable() -> FieldCall:
    now = Factors(
        start_utc=_at(6, 15),
        warmth=0.97,
        warmth_alive=0.95,
        wash_chance_pct=3.0,
        dry=0.982,
        ready=0.98,
        effect_pct=91.4,
        dose=1.02,
    )
    back = now.model_copy(update={"start_utc": _at(11, 16), "effect_pct": 63.4, "on_climate": True})
    return FieldCall(
        field=_field("007", "North Draw"),
        grower_name="Vale Farms",
        treatment_name="Full mix",
        call=Call.SPRAY,
        rank=1,
        effect_pct=91.4,
        back_of_line_pct=63.4,
        back_of_line_on=date(2026, 10, 11),
        cost_pct=28.0,
        acres_lost=33.0,
        order_points=413.0,
        rig_hours=8.0,
        windows=(
            Window(
                start_utc=_at(6, 15),
                end_utc=_at(6, 22),
                best_utc=_at(6, 16),
                effect_pct=91.4,
                full=True,
                dry_h=31.0,
                wind_low_mph=5.0,
                wind_high_mph=8.0,
                wind_from="S",
            ),
        ),
        spray_by_utc=_at(8, 19),
        spray_by_bound="freeze",
        freeze=FreezeFigures(
            chance_7d_pct=8.0, known_through_utc=_at(13, 23), low_f=34.2, low_utc=_at(13, 12)
        ),
        rain_free_h=31.0,
        rain_free_needed_h=24.0,
        heat_units_7d_f_days=58.4,
        maturity=MaturityFigures(
            state="mature",
            nodes_above_cracked_boll=3.2,
            percent_open=64.0,
            plants_counted=12,
            visited_utc=_at(4, 14),
            visit_age_days=1.9,
            scout="R. Vale",
            reasons=("NACB 3.2, at most 4 counts as mature",),
        ),
        forecast=ForecastFigures(
            source="US National Weather Service",
            cell_id="nws:QQX/61,84",
            issued_utc=_at(6, 8),
            age_h=3.0,
            age_mark="fresh",
        ),
        factors_now=now,
        factors_back=back,
        strip=HourStrip(
            start_utc=_at(6, 11),
            spray=("no", "full", "partial", "unknown"),
            why_not=("dark", "", "rain before 24 h", "wind not known"),
            temp_f=(51.2, 60.0, 66.0, None),
            wind_mph=(2.0, 5.0, 6.0, None),
            rain_chance_pct=(0.0, 3.0, 20.0, None),
        ),
        reasons=("Loses most from the back of the line.",),
    )


def _unknown() -> FieldCall:
    return FieldCall(
        field=_field("NA", "=Cottonwood", acres=40),
        call=Call.UNKNOWN,
        effect_pct=float("nan"),
        rig_hours=3.0,
        rain_free_needed_h=24.0,
        maturity=MaturityFigures(state="unknown"),
        forecast=ForecastFigures(problem="no forecast since Sun 5 pm"),
        reasons=("no forecast since Sun 5 pm, so no call",),
        to_do="Look at the sky yourself.",
    )


def _sprayed() -> FieldCall:
    spray = Spray(
        uuid=uuid4(), field_id="home", sprayed_utc=_at(1, 19), treatment_id="mix", rig_id="hawk"
    )
    return FieldCall(
        field=_field("home", "Home Place"),
        call=Call.WAIT,
        rig_hours=8.0,
        rain_free_needed_h=24.0,
        maturity=MaturityFigures(state="mature"),
        forecast=ForecastFigures(),
        follow_up=FollowUp(
            spray=spray,
            days_since=4.7,
            check_first_on=date(2026, 10, 6),
            check_second_on=date(2026, 10, 13),
            due_today=True,
        ),
    )


@pytest.fixture
def report() -> MorningReport:
    """A morning of three fields: one not known, one to spray, one sprayed."""
    return MorningReport(
        run=RunFigures(
            farm_name="Sandhill Co-op",
            time_zone="America/Chicago",
            made_utc=_at(6, 11),
            local_date=date(2026, 10, 6),
            fields=3,
            counts={Call.SPRAY: 1, Call.SHORT: 0, Call.LOOK: 0, Call.WAIT: 1, Call.UNKNOWN: 1},
            sprayed=1,
            queue_days=5,
            queue_rig_hours=62.0,
            usable_rig_hours_a_day=12.0,
            rigs=2,
            span_h=36,
            policy_version="1",
        ),
        fields=(_unknown(), _sprayable(), _sprayed()),
    )
