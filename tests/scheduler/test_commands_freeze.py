"""Freezes from the command line, the looks at what froze, and what waits for one."""

import json
from datetime import datetime
from typing import get_args
from zoneinfo import ZoneInfo

import pytest

from farm.records import FreezeInspection
from scheduler.commands.freeze_inspected import FOUND
from storage.errors import StorageError
from storage.freeze_store import FreezeInspectionStore, FreezeStore


@pytest.fixture
def on_record(warmspell):
    """Everything ``freeze list --json`` tells."""

    def read(config):
        return json.loads(warmspell("freeze", "list", "--json", "--config", config).out)

    return read


@pytest.fixture
def clock(farm):
    """Set the farm's clock to a time of Chicago."""

    def turn(local: str):
        at = datetime.fromisoformat(local).replace(tzinfo=ZoneInfo("America/Chicago"))
        text = farm.read_text("utf-8")
        farm.write_text(text[: text.rindex("at = ")] + f"at = {at.isoformat()}\n", "utf-8")
        return farm

    return turn


def test_a_freeze_is_logged_once_and_listed(warmspell, farm, on_record):
    log = ("freeze", "log", "C1", "--when", "2026-10-05T06:40", "--low-f", "26.5")
    log = (*log, "--reporter", "A. Reed", "--note", "white to the road", "--config", farm)
    first, again = warmspell(*log), warmspell(*log)
    assert first.out.startswith("Creek Bottom: freeze kept (")
    assert first.out.splitlines()[1] == "1 new, 0 known already, 1 killing"
    assert again.out.startswith("Creek Bottom: freeze was known already (")
    assert again.out.splitlines()[1] == "0 new, 1 known already, 1 killing"
    (kept,) = on_record(farm)["freezes"]
    assert (kept["field_id"], kept["froze_utc"]) == ("C1", "2026-10-05T11:40:00Z")
    assert (kept["low_f"], kept["told_by"]) == (26.5, "person")
    assert (kept["reporter"], kept["note"]) == ("A. Reed", "white to the road")
    table = warmspell("freeze", "list", "--config", farm).out
    row = f"Mon 5 Oct 2026 06:40  freeze, 26.5 F  A. Reed  {kept['uuid'][:8]}  white to the road"
    assert row in table


@pytest.mark.parametrize(
    ("now", "when", "froze_utc"),
    [
        pytest.param("2026-10-06T09:00", "2026-10-04", "2026-10-04T11:00:00Z", id="a date"),
        pytest.param("2026-10-06T09:00", None, "2026-10-06T11:00:00Z", id="this morning"),
        pytest.param("2026-10-06T22:00", None, "2026-10-06T11:00:00Z", id="told in the evening"),
        pytest.param("2026-10-06T04:10", None, "2026-10-06T09:10:00Z", id="told before sunrise"),
        pytest.param("2026-10-06T04:10", "2026-10-06", "2026-10-06T09:10:00Z", id="today"),
        pytest.param("2026-11-03T09:00", "2026-11-02", "2026-11-02T12:00:00Z", id="winter time"),
    ],
)
def test_a_date_alone_is_its_six_in_the_morning(warmspell, clock, on_record, now, when, froze_utc):
    farm = clock(now)
    given = () if when is None else ("--when", when)
    assert warmspell("freeze", "log", "C1", *given, "--config", farm).code == 0
    assert [one["froze_utc"] for one in on_record(farm)["freezes"]] == [froze_utc]


def test_several_fields_freeze_at_once_and_one_named_twice_counts_once(warmspell, farm, on_record):
    told = warmspell("freeze", "log", "C1", "north table", "U1", "--config", farm)
    assert told.out.splitlines()[2] == "2 new, 0 known already, 2 killing"
    assert {one["field_id"] for one in on_record(farm)["freezes"]} == {"C1", "U1"}


def test_all_fields_freeze_at_once_and_only_new_ones_are_kept(warmspell, farm, on_record):
    warmspell("freeze", "log", "C1", "--low-f", "27", "--config", farm)
    told = warmspell("freeze", "log", "--all", "--low-f", "27", "--config", farm)
    assert told.out.splitlines()[5] == "4 new, 1 known already, 5 killing"
    kept = on_record(farm)["freezes"]
    assert sorted(one["field_id"] for one in kept) == ["C1", "C2", "U1", "U2", "U3"]
    assert {one["low_f"] for one in kept} == {27.0}


def test_one_bad_name_among_several_keeps_none(warmspell, farm, on_record):
    told = warmspell("freeze", "log", "C1", "North Tabel", "--config", farm)
    assert (told.code, told.out) == (65, "")
    assert 'did you mean "North Table"?' in told.err
    assert on_record(farm)["freezes"] == []


@pytest.mark.parametrize("arguments", [(), ("C1", "--all")])
def test_fields_or_all_of_them_but_not_both_nor_none(warmspell, farm, arguments):
    told = warmspell("freeze", "log", *arguments, "--config", farm)
    assert (told.code, told.out) == (64, "")
    assert "wanted one or the other" in told.err


@pytest.mark.parametrize(
    ("arguments", "wanted"),
    [
        (("--low-f", "36.1"), 'low-f: got "36.1", wanted a number -40 to 36 F'),
        (("--low-f", "-40.5"), 'low-f: got "-40.5", wanted a number -40 to 36 F'),
        (("--low-f", "-2C"), 'got "-2C"'),
        (("--low-f", "27,5"), "write the decimal with a point"),
        (("--low-f", "nan"), 'got "nan"'),
        (("--when", "2026-10-06T06:01"), "wanted no later than now"),
        (("--when", "2026-10-07"), "wanted no later than now"),
        (("--when", "2026-05-13"), "wanted after the planting of Creek Bottom on 2026-05-14"),
        (("--when", "0001-01-01"), 'got "0001-01-01"'),
        (("--when", "last night"), "wanted a date and a time such as"),
        (("--reporter", "x" * 81), "reporter: got 81 letters, wanted at most 80"),
        (("--note", "x" * 501), "note: got 501 letters, wanted at most 500"),
    ],
)
def test_a_freeze_that_cannot_be_is_refused_in_one_line(
    warmspell, farm, on_record, arguments, wanted
):
    told = warmspell("freeze", "log", "C1", *arguments, "--config", farm)
    assert (told.code, told.out) == (65, "")
    assert told.err.startswith("freeze: ")
    assert wanted in told.err
    assert len(told.err.splitlines()) == 1
    assert on_record(farm)["freezes"] == []


@pytest.mark.parametrize("low", ["36", "-40"])
def test_the_ends_of_the_scale_are_lows(warmspell, farm, low):
    assert warmspell("freeze", "log", "C1", "--low-f", low, "--config", farm).code == 0


def test_a_freeze_of_a_past_season_is_kept_and_told(warmspell, farm, on_record):
    fields = farm.parent / "fields.csv"
    fields.write_text(fields.read_text("utf-8").replace("2026-05-14", ""), "utf-8")
    told = warmspell("freeze", "log", "C1", "--when", "2025-10-20", "--config", farm)
    assert told.code == 0
    assert told.err.startswith("2025-10-20 lies before this season, which began on 2026-07-01")
    assert len(on_record(farm)["freezes"]) == 1
    assert on_record(farm)["waiting"] == []


def test_a_killing_freeze_makes_a_field_wait_and_a_milder_one_does_not(warmspell, farm, on_record):
    """28 F is the threshold of the starter; the look comes 5 to 8 days later (S24)."""
    for field, low in (("C1", ("--low-f", "28")), ("C2", ("--low-f", "28.1")), ("U1", ())):
        told = warmspell("freeze", "log", field, *low, "--when", "2026-10-01", "--config", farm)
        assert ("not killing: above 28 F" in told.out) is (field == "C2")
    waiting = on_record(farm)["waiting"]
    assert [(one["field_id"], one["inspect_from"], one["inspect_until"]) for one in waiting] == [
        ("C1", "2026-10-06", "2026-10-09"),
        ("U1", "2026-10-06", "2026-10-09"),
    ]
    assert [one["due_today"] for one in waiting] == [True, True]
    table = warmspell("freeze", "list", "--config", farm).out
    assert "Fields that wait for a look" in table
    assert "Creek Bottom  Thu 1 Oct 2026 06:00  6-9 Oct     yes" in table


def test_nothing_on_record_says_so(warmspell, farm, on_record):
    assert on_record(farm) == {"freezes": [], "inspections": [], "waiting": []}
    assert "No field waits for a look." in warmspell("freeze", "list", "--config", farm).out


def test_a_freeze_is_committed_before_it_is_acknowledged(farm, on_record, killed_as_it_speaks):
    killed_as_it_speaks("freeze_log", "freeze", "log", "--all", "--config", farm)
    assert len(on_record(farm)["freezes"]) == 5


@pytest.mark.parametrize(
    ("store", "method", "command"),
    [
        (FreezeStore, "add_all", ("freeze", "log", "C1", "C2")),
        (FreezeInspectionStore, "add", ("freeze", "inspected", "C1", "--found", "alive")),
    ],
)
def test_what_was_not_kept_is_not_acknowledged(
    warmspell, farm, monkeypatch, store, method, command
):
    def refuse(*_):
        raise StorageError("farm.sqlite3: the disk is full; nothing was saved")

    monkeypatch.setattr(store, method, refuse)
    told = warmspell(*command, "--config", farm)
    assert (told.code, told.out) == (74, "")


def test_every_finding_of_the_noun_can_be_typed():
    assert get_args(FreezeInspection.model_fields["found"].annotation) == FOUND
