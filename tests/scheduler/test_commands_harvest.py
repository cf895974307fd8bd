"""Harvest records from the command line, and what is left of a field."""

import json
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path
from uuid import uuid4
from zoneinfo import ZoneInfo

import pytest

from farm.field import Field
from farm.records import Harvest, Spray
from scheduler.harvest_record import acres_left
from storage.errors import StorageError
from storage.harvest_store import HarvestStore

HOUSE = Path(__file__).resolve().parent.parent.parent
CHICAGO = ZoneInfo("America/Chicago")


@pytest.fixture
def labelled(farm):
    """The starter farm with invented label values: 1 hour to re-entry, 7 days to harvest."""
    text = farm.read_text("utf-8")
    for key, value in (("reentry_h", 1), ("preharvest_days", 7)):
        text = text.replace(f"# {key} =", f"{key} = {value}")
    farm.write_text(text, "utf-8")
    return farm


@pytest.fixture
def harvests(warmspell):
    """The harvests on record, newest first."""

    def read(config):
        return json.loads(warmspell("harvest", "list", "--json", "--config", config).out)[
            "harvests"
        ]

    return read


def test_a_harvest_is_logged_once_and_listed(warmspell, farm, harvests):
    log = ("harvest", "log", "creek bottom", "--acres", "60", "--when", "2026-10-05T17:30")
    first = warmspell(*log, "--note", "east half", "--config", farm)
    again = warmspell(*log, "--note", "east half", "--config", farm)
    assert first.out.startswith("Creek Bottom: harvest kept (")
    assert again.out.startswith("Creek Bottom: harvest was known already (")
    for told in (first, again):
        assert told.out.splitlines()[1] == "60 acres picked, 36 of 96 left"
    (kept,) = harvests(farm)
    assert (kept["field_id"], kept["acres"]) == ("C1", 60.0)
    assert (kept["harvested_utc"], kept["note"]) == ("2026-10-05T22:30:00Z", "east half")
    table = warmspell("harvest", "list", "--config", farm).out.splitlines()
    row = f"Creek Bottom Mon 5 Oct 2026 60 96 {kept['uuid'][:8]} east half"
    assert " ".join(table[1].split()) == row


def test_without_acres_it_is_all_that_is_left_and_typed_again_the_same_harvest(
    warmspell, farm, harvests
):
    warmspell("harvest", "log", "C1", "--acres", "60.5", "--when", "2026-10-03", "--config", farm)
    rest = ("harvest", "log", "C1", "--when", "2026-10-05", "--config", farm)
    assert warmspell(*rest).out.splitlines()[1] == "35.5 acres picked, 0 of 96 left"
    assert "known already" in warmspell(*rest).out
    assert [one["acres"] for one in harvests(farm)] == [35.5, 60.5]


def test_harvests_are_listed_newest_first(warmspell, farm, harvests):
    for day in (3, 5, 4):
        warmspell(
            *("harvest", "log", "C1", "--acres", day),
            *("--when", f"2026-10-0{day}", "--config", farm),
        )
    assert [one["acres"] for one in harvests(farm)] == [5.0, 4.0, 3.0]


def test_a_spray_begins_what_is_left_anew(warmspell, labelled):
    for command in (
        ("harvest", "log", "C1", "--acres", "90", "--when", "2026-09-18"),
        ("spray", "log", "C1", "--when", "2026-09-20T10:00"),
        ("harvest", "log", "C1", "--acres", "50", "--when", "2026-10-01"),
    ):
        assert warmspell(*command, "--config", labelled).code == 0
    told = warmspell("harvest", "log", "C1", "--config", labelled)
    assert told.out.splitlines()[1] == "46 acres picked, 0 of 96 left"


def test_last_season_takes_nothing_from_this_one_and_is_told(warmspell, farm):
    """A season begins on 1 July."""
    old = warmspell(
        *("harvest", "log", "C1", "--acres", "90", "--when", "2026-06-30T23:59"),
        *("--config", farm),
    )
    assert old.code == 0
    assert old.err.startswith("2026-06-30 lies before this season, which began on 2026-07-01")
    told = warmspell("harvest", "log", "C1", "--config", farm)
    assert told.out.splitlines()[1] == "96 acres picked, 0 of 96 left"
    assert told.err == ""


def _field(**changes):
    values = {
        "id": "f",
        "name": "North Draw",
        "grower_id": "g",
        "latitude": 34,
        "longitude": -101,
        "acres": 100,
        "time_zone": "America/Chicago",
        "treatment_id": "mix",
    }
    return Field(**(values | changes))


def _harvest(day: int, acres: float, hour: int = 18) -> Harvest:
    at = datetime(2026, 10, day, hour, tzinfo=UTC)
    return Harvest(uuid=uuid4(), field_id="f", harvested_utc=at, acres=acres)


def _spray(day: int) -> Spray:
    at = datetime(2026, 10, day, 18, tzinfo=UTC)
    return Spray(uuid=uuid4(), field_id="f", sprayed_utc=at, treatment_id="mix")


@pytest.mark.parametrize(
    ("day", "left"),
    [
        pytest.param(3, 90, id="before the first spray"),
        pytest.param(6, 70, id="between the sprays"),
        pytest.param(7, 70, id="before a pass that is logged already"),
        pytest.param(10, 55, id="after the last spray"),
    ],
)
def test_a_pass_logged_late_is_held_against_those_of_its_own_spray(day, left):
    passes = [_harvest(2, 10), _harvest(8, 30), _harvest(9, 5), _harvest(12, 40)]
    sprays = [_spray(9), _spray(4)]
    moment = datetime(2026, 10, day, 18, tzinfo=UTC)
    assert acres_left(_field(), passes, sprays, moment, CHICAGO).acres == left


def test_what_is_left_never_falls_below_nothing():
    moment = datetime(2026, 10, 12, tzinfo=UTC)
    assert acres_left(_field(), [_harvest(9, 102)], [], moment, CHICAGO).acres == 0


@pytest.mark.parametrize(
    ("arguments", "wanted"),
    [
        (("--acres", "97.93"), "wanted at most the 96 that Creek Bottom has left (96 less 0"),
        (("--acres", "0"), 'acres: got "0", wanted a number 0.01 to 20000 acres'),
        (("--acres", "-4"), 'got "-4"'),
        (("--acres", "nan"), 'got "nan"'),
        (("--acres", "half"), 'got "half"'),
        (("--acres", "40,5"), "write the decimal with a point"),
        (("--when", "2026-10-06T06:01"), "wanted no later than now"),
        (("--when", "2026-10-07"), "wanted no later than now"),
        (("--when", "9999-12-31T23:59"), 'got "9999-12-31T23:59"'),
        (("--when", "2026-05-13"), "wanted after the planting of Creek Bottom on 2026-05-14"),
        (("--when", "harvest time"), "wanted a date and a time such as"),
        (("--note", "x" * 501), "note: got 501 letters, wanted at most 500"),
    ],
)
def test_a_harvest_that_cannot_be_is_refused_in_one_line(
    warmspell, farm, harvests, arguments, wanted
):
    told = warmspell("harvest", "log", "C1", *arguments, "--config", farm)
    assert (told.code, told.out) == (65, "")
    assert told.err.startswith("harvest: ")
    assert wanted in told.err
    assert len(told.err.splitlines()) == 1
    assert harvests(farm) == []


def test_more_than_is_left_is_refused_and_says_how_it_comes_about(warmspell, labelled):
    for command in (
        ("spray", "log", "C1", "--when", "2026-09-20T10:00"),
        ("harvest", "log", "C1", "--acres", "60", "--when", "2026-10-01"),
    ):
        warmspell(*command, "--config", labelled)
    told = warmspell("harvest", "log", "C1", "--acres", "40", "--config", labelled)
    assert (told.code, told.out) == (65, "")
    assert told.err == (
        "harvest: acres: got 40, wanted at most the 36 that Creek Bottom has left (96 less 60 "
        "picked since its spray of Sun 20 Sep 2026); correct the acres or the time, or the "
        "field's acres\n"
    )


@pytest.mark.parametrize(("acres", "code"), [("97.92", 0), ("97.93", 65)])
def test_two_of_a_hundred_acres_more_are_rounding(warmspell, farm, acres, code):
    """96 acres and 2 % of them are 97.92."""
    assert warmspell("harvest", "log", "C1", "--acres", acres, "--config", farm).code == code


def test_a_picked_field_has_nothing_left_to_log(warmspell, farm, harvests):
    warmspell("harvest", "log", "C1", "--when", "2026-10-04", "--config", farm)
    told = warmspell("harvest", "log", "C1", "--config", farm)
    assert (told.code, told.out) == (65, "")
    assert "got nothing left of Creek Bottom" in told.err
    assert len(harvests(farm)) == 1


def test_a_field_nobody_knows_is_asked_about(warmspell, farm):
    told = warmspell("harvest", "log", "Creek Botom", "--config", farm)
    assert (told.code, told.out) == (65, "")
    assert 'did you mean "Creek Bottom"?' in told.err


@pytest.mark.parametrize(
    ("when", "early"),
    [
        ("2026-10-03T08:59", True),
        ("2026-10-03T09:00", False),
        ("2026-10-02", True),
        ("2026-10-03", False),
    ],
)
def test_a_harvest_before_its_interval_is_over_is_kept_and_told(warmspell, labelled, when, early):
    """Sprayed Saturday 26 September, 9 am; 7 days are entered for the mix."""
    warmspell("spray", "log", "C1", "--when", "2026-09-26T09:00", "--config", labelled)
    told = warmspell("harvest", "log", "C1", "--when", when, "--config", labelled)
    assert told.code == 0
    assert ("earlier than Sat 3 Oct 09:00" in told.err) is early
    assert bool(told.err) is early


def test_a_harvest_of_a_field_that_is_gone_is_still_listed(warmspell, farm):
    warmspell("harvest", "log", "U3", "--config", farm)
    fields = farm.parent / "fields.csv"
    lines = fields.read_text("utf-8").splitlines(keepends=True)
    fields.write_text("".join(line for line in lines if not line.startswith("U3")), "utf-8")
    assert "U3 (not registered)" in warmspell("harvest", "list", "--config", farm).out


def test_a_harvest_is_committed_before_it_is_acknowledged(farm, harvests, killed_as_it_speaks):
    killed_as_it_speaks("harvest_log", "harvest", "log", "C1", "--config", farm)
    assert [one["acres"] for one in harvests(farm)] == [96.0]


def test_a_harvest_that_was_not_kept_is_not_acknowledged(warmspell, farm, monkeypatch):
    def refuse(*_):
        raise StorageError("farm.sqlite3: the disk is full; nothing was saved")

    monkeypatch.setattr(HarvestStore, "add", refuse)
    told = warmspell("harvest", "log", "C1", "--config", farm)
    assert (told.code, told.out) == (74, "")
    assert told.err == "farm.sqlite3: the disk is full; nothing was saved\n"


def test_loading_the_commands_of_records_loads_nothing_heavy():
    asked = (
        "import sys; from scheduler.commands import freeze, harvest; "
        "print({'pandas', 'numpy', 'sqlalchemy', 'pydantic', 'scipy'} & set(sys.modules))"
    )
    command = [sys.executable, "-c", asked]
    told = subprocess.run(command, cwd=HOUSE, capture_output=True, timeout=60, check=False)
    assert (told.returncode, told.stdout.strip()) == (0, b"set()")
