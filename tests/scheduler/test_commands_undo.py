"""Records taken back from the command line: marked in their list, left out of all else."""

import json

import pytest

from storage.stores import open_stores
from storage.take_back import StandingSprays

SPRAY = ("spray", "log", "C1", "--when", "2026-10-05T14:20")
HARVEST = ("harvest", "log", "C1", "--acres", "60", "--when", "2026-10-05")
FREEZE = ("freeze", "log", "C1", "--low-f", "26", "--when", "2026-10-05")
LOOK = ("freeze", "inspected", "C1", "--found", "killed", "--when", "2026-10-06T05:00")
VISIT = ("scout", "add", "C1", "--nacb", "3.2", "--open", "64", "--observed", "2026-10-05T09:00")


@pytest.fixture
def labelled(farm):
    """The starter farm with invented label values: 1 hour to re-entry, 7 days to harvest."""
    text = farm.read_text("utf-8")
    for key, value in (("reentry_h", 1), ("preharvest_days", 7)):
        text = text.replace(f"# {key} =", f"{key} = {value}")
    farm.write_text(text, "utf-8")
    return farm


@pytest.fixture
def listed(warmspell, labelled):
    """What a group's list tells for other programs."""

    def read(group, *more):
        return json.loads(
            warmspell(group, "list", *more, "--json", "--config", labelled).out or "{}"
        )

    return read


@pytest.fixture
def undo(warmspell, labelled):
    def call(group, record, *more):
        return warmspell(group, "undo", record, *more, "--config", labelled)

    return call


@pytest.mark.parametrize(
    ("log", "group", "lists", "kind", "standing"),
    [
        (SPRAY, "spray", "sprays", "spray of Mon 5 Oct 14:20", "No spray of this season is left"),
        (HARVEST, "harvest", "harvests", "harvest of Mon 5 Oct 00:00", "96 of 96 acres left"),
        (FREEZE, "freeze", "freezes", "freeze of Mon 5 Oct 06:00", "No freeze keeps the field out"),
        (VISIT, "scout", "visits", "visit of Mon 5 Oct 09:00", "No visit of this season is left"),
    ],
)
def test_a_record_is_taken_back_by_its_id_and_stays_listed_with_a_mark(
    warmspell, labelled, listed, undo, log, group, lists, kind, standing
):
    warmspell(*log, "--note", "by mistake", "--config", labelled)
    (kept,) = listed(group, "--all")[lists] if group == "scout" else listed(group)[lists]
    assert kept["taken_back"] is None

    told = undo(group, kept["uuid"][:8], "--by", "R. Vale", "--why", "wrong field")

    assert (told.code, told.err) == (0, "")
    first, second = told.out.splitlines()
    assert first == f"Creek Bottom: {kind} taken back ({kept['uuid'][:8]})"
    assert standing in second
    more = ("--all",) if group == "scout" else ()
    (still,) = listed(group, *more)[lists]
    why = {"retracted_utc": "2026-10-06T11:00:00Z", "by": "R. Vale", "why": "wrong field"}
    assert still == kept | {"taken_back": why}
    table = warmspell(group, "list", *more, "--config", labelled).out
    assert "TAKEN BACK Tue 6 Oct 06:00 by R. Vale: wrong field; by mistake" in table


def test_taken_back_twice_is_taken_back_once_and_the_first_word_stands(
    warmspell, labelled, listed, undo
):
    warmspell(*SPRAY, "--config", labelled)
    uuid = listed("spray")["sprays"][0]["uuid"]
    undo("spray", uuid, "--why", "wrong field")
    again = undo("spray", uuid, "--why", "something else")
    assert again.code == 0
    assert "was taken back before, Tue 6 Oct 06:00: wrong field (" in again.out
    assert listed("spray")["sprays"][0]["taken_back"]["why"] == "wrong field"


@pytest.mark.parametrize(
    ("log", "group", "lists"),
    [
        (SPRAY, "spray", "sprays"),
        (HARVEST, "harvest", "harvests"),
        (FREEZE, "freeze", "freezes"),
        (VISIT, "scout", "visits"),
    ],
)
def test_what_was_right_after_all_is_entered_again_and_still_once(
    warmspell, labelled, listed, undo, log, group, lists
):
    more = ("--all",) if group == "scout" else ()
    warmspell(*log, "--config", labelled)
    (wrong,) = listed(group, *more)[lists]
    undo(group, wrong["uuid"][:8])

    assert "kept" in warmspell(*log, "--config", labelled).out
    assert "known already" in warmspell(*log, "--config", labelled).out

    (standing,) = [one for one in listed(group, *more)[lists] if one["taken_back"] is None]
    assert standing | {"uuid": ""} == wrong | {"uuid": ""}
    assert len(listed(group, *more)[lists]) == 2


def test_a_look_after_a_freeze_is_taken_back_among_the_freezes(warmspell, labelled, listed, undo):
    warmspell(*FREEZE, "--config", labelled)
    warmspell(*LOOK, "--config", labelled)
    assert listed("freeze")["waiting"] == []
    told = undo("freeze", listed("freeze")["inspections"][0]["uuid"][:8])
    assert told.out.startswith("Creek Bottom: inspection of Tue 6 Oct 05:00 taken back (")
    assert [one["field_id"] for one in listed("freeze")["waiting"]] == ["C1"]
    assert "look kept" in warmspell(*LOOK, "--config", labelled).out
    assert listed("freeze")["waiting"] == []

    # A look must be about a freeze that stands.
    undo("freeze", listed("freeze")["freezes"][0]["uuid"][:8])
    later = (*LOOK[:-1], "2026-10-06T05:30", "--config", labelled)
    assert "with no killing freeze on record before it" in warmspell(*later).err


def test_acres_taken_back_stand_again_and_count_from_the_spray_that_stands(
    warmspell, labelled, listed, undo
):
    warmspell(*HARVEST, "--config", labelled)
    undo("harvest", listed("harvest")["harvests"][0]["uuid"][:8])
    told = warmspell(
        *("harvest", "log", "C1", "--acres", "90", "--when", "2026-10-06T05:00"),
        *("--config", labelled),
    )
    assert told.out.splitlines()[1] == "90 acres picked, 6 of 96 left"
    # Without this spray the 90 acres above would stand; with it they count no more.
    warmspell("spray", "log", "C1", "--when", "2026-10-06T05:30", "--config", labelled)
    undo("spray", listed("spray")["sprays"][0]["uuid"][:8])
    told = warmspell("harvest", "log", "C1", "--acres", "10", "--config", labelled)
    assert told.code == 65
    assert "wanted at most the 6 that Creek Bottom has left" in told.err


def test_after_a_visit_is_taken_back_the_older_one_is_the_last(warmspell, labelled, listed, undo):
    older = (*VISIT[:-1], "2026-10-03T09:00")
    for log in (older, VISIT):
        warmspell(*log, "--config", labelled)
    newest = listed("scout", "C1")["visits"][0]
    told = undo("scout", newest["uuid"][:8])
    assert told.out.splitlines()[1] == "Its last visit is now that of Sat 3 Oct 09:00, 3 days old"
    (last,) = listed("scout")["visits"]
    assert last["observed_utc"] == "2026-10-03T14:00:00Z"
    csv = warmspell("scout", "list", "--csv", "--all", "--config", labelled).out
    assert newest["uuid"] not in csv
    assert last["uuid"] in csv


def test_a_file_imported_again_does_not_bring_back_what_was_taken_back(
    warmspell, labelled, listed, undo, tmp_path
):
    file = tmp_path / "visits.csv"
    file.write_text("field_id,observed,percent_open\nC1,2026-10-05,61\nC1,2026-10-04,55\n")
    warmspell("scout", "import", file, "--config", labelled)
    undo("scout", listed("scout")["visits"][0]["uuid"][:8])
    told = warmspell("scout", "import", file, "--config", labelled)
    assert "visits.csv: 1 visit of it taken back before and left so" in told.err
    assert "0 visits added, 2 known already" in told.out
    assert [one["percent_open"] for one in listed("scout")["visits"]] == [55.0]


@pytest.mark.parametrize("group", ["spray", "harvest", "freeze", "scout"])
def test_what_is_not_on_record_cannot_be_taken_back(undo, group):
    told = undo(group, "1a2b3c4d")
    assert (told.code, told.out) == (65, "")
    assert told.err.startswith(f'{group} undo: record: got "1a2b3c4d", wanted the start of the id')
    assert len(told.err.splitlines()) == 1


def test_a_record_of_another_kind_is_not_taken_back(warmspell, labelled, listed, undo):
    warmspell(*VISIT, "--config", labelled)
    told = undo("spray", listed("scout")["visits"][0]["uuid"][:8])
    assert told.code == 65
    assert listed("scout")["visits"][0]["taken_back"] is None


def test_a_reason_longer_than_is_kept_is_refused(undo):
    told = undo("spray", "1a2b3c4d", "--why", "x" * 501)
    assert (told.code, told.err) == (
        65,
        "undo: why: got 501 letters, wanted at most 500; shorten it\n",
    )


def test_a_spray_told_by_a_link_is_seen_as_it_stands(warmspell, labelled, listed, undo):
    warmspell(*SPRAY, "--config", labelled)
    with open_stores("warmspell.sqlite3", labelled.parent) as stores:
        assert len(StandingSprays(stores).of_field("C1")) == 1
    undo("spray", listed("spray")["sprays"][0]["uuid"][:8])
    with open_stores("warmspell.sqlite3", labelled.parent) as stores:
        assert StandingSprays(stores).of_field("C1") == ()
