"""Scouting from the command line: added, imported, listed, and never half taken."""

import json

import pytest

HEADER = "field_id,observed,plants_counted,nodes_above_cracked_boll,percent_open,scout\n"
GOOD = "C1,2026-10-04T09:30,12,3.2,64,R. Vale\nU1,2026-10-05,10,5.1,,R. Vale\n"


@pytest.fixture
def listed(warmspell, farm):
    def visits():
        told = warmspell("scout", "list", "--all", "--json", "--config", farm)
        assert told.code == 0
        return json.loads(told.out)["visits"]

    return visits


def test_a_visit_is_added_by_name_and_listed(warmspell, farm, listed):
    told = warmspell(
        *("scout", "add", "creek bottom", "--nacb", "3.2", "--open", "64", "--plants", "12"),
        *("--observed", "2026-10-04T09:30", "--scout", "R. Vale", "--config", farm),
    )
    assert told.code == 0
    assert told.out.startswith("Creek Bottom: visit kept")
    (visit,) = listed()
    assert (visit["field_id"], visit["nodes_above_cracked_boll"]) == ("C1", 3.2)
    assert visit["observed_utc"] == "2026-10-04T14:30:00Z"
    table = warmspell("scout", "list", "--config", farm).out.splitlines()
    assert table[1].split() == ["Heron", "Slough", "never"]
    assert "Sun 4 Oct 09:30" in table[-1]
    assert "44 h old" in table[-1]


def test_a_visit_without_a_time_was_now(warmspell, farm, listed):
    warmspell("scout", "add", "C1", "--open", "61", "--config", farm)
    assert listed()[0]["observed_utc"] == "2026-10-06T11:00:00Z"


@pytest.mark.parametrize(
    ("arguments", "wanted"),
    [
        (["C1", "--nacb", "four"], 'visit: nodes_above_cracked_boll: got "four", wanted a number'),
        (["C1"], "got no count at all"),
        (["Creek Botom", "--open", "61"], 'did you mean "Creek Bottom"?'),
        (["C1", "--open", "61", "--observed", "2026-10-08"], "wanted no later than now"),
    ],
)
def test_a_visit_that_cannot_be_used_is_refused(warmspell, farm, listed, arguments, wanted):
    told = warmspell("scout", "add", *arguments, "--config", farm)
    assert (told.code, told.out) == (65, "")
    assert wanted in told.err
    assert listed() == []


def test_a_file_is_imported_and_again_without_harm(warmspell, farm, tmp_path, listed):
    file = tmp_path / "visits.csv"
    file.write_bytes(b"\xef\xbb\xbf" + (HEADER + GOOD).replace(",", ";").encode())
    told = warmspell("scout", "import", file, "--config", farm)
    assert (told.code, told.out) == (
        0,
        "visits.csv: 2 visits added, 0 known already, 0 rows refused\n",
    )
    again = warmspell("scout", "import", file, "--config", farm)
    assert (again.code, again.out) == (
        0,
        "visits.csv: 0 visits added, 2 known already, 0 rows refused\n",
    )
    assert len(listed()) == 2


@pytest.mark.fault("I26")
def test_one_bad_row_stops_the_whole_file_and_is_named(warmspell, farm, tmp_path, listed):
    file = tmp_path / "visits.csv"
    file.write_text(HEADER + GOOD + "U2,2026-10-05,12,four,,\n", "utf-8")
    told = warmspell("scout", "import", file, "--config", farm)
    assert (told.code, told.out) == (65, "")
    assert told.err.splitlines() == [
        'visits.csv:4: nodes_above_cracked_boll: got "four", wanted a number 0 to 25',
        "visits.csv: 1 of 3 rows cannot be used, none was taken; mend them, or take the others "
        "with --partial",
    ]
    assert listed() == []


@pytest.mark.fault("I26")
def test_the_good_rows_can_be_taken_and_the_others_are_kept_aside(
    warmspell, farm, tmp_path, listed
):
    from config.load import load
    from storage.stores import open_stores

    file = tmp_path / "visits.csv"
    file.write_text(HEADER + GOOD + "U2,2026-10-05,12,four,,\n", "utf-8")
    told = warmspell("scout", "import", "--partial", file, "--config", farm)
    assert told.code == 65
    assert told.out == "visits.csv: 2 visits added, 0 known already, 1 row refused\n"
    assert "visits.csv:4: nodes_above_cracked_boll" in told.err
    assert len(listed()) == 2
    config = load(farm)
    with open_stores(config.settings.farm.database, config.folder) as stores:
        (refused,) = stores.visits.rejected()
    assert refused.raw == "U2,2026-10-05,12,four,,"
    assert "visits.csv:4" in refused.reason


def test_a_changed_row_under_a_known_uuid_is_refused(warmspell, farm, tmp_path, listed):
    file = tmp_path / "visits.csv"
    uuid = "7d0b3f5e-0d2c-4a55-9a44-5d5f1f0f9f10"
    for share, code in (("61", 0), ("62", 65)):
        file.write_text(f"field_id,observed,percent_open,uuid\nC1,2026-10-04,{share},{uuid}\n")
        told = warmspell("scout", "import", file, "--config", farm)
        assert told.code == code
    assert f'visits.csv:2: uuid: got "{uuid}", under which another visit is kept' in told.err
    assert [visit["percent_open"] for visit in listed()] == [61.0]


def test_what_is_listed_as_csv_can_be_imported_again(warmspell, farm, tmp_path):
    file = tmp_path / "visits.csv"
    file.write_text(HEADER + GOOD, "utf-8")
    warmspell("scout", "import", file, "--config", farm)
    file.write_text(warmspell("scout", "list", "--csv", "--config", farm).out, "utf-8")
    told = warmspell("scout", "import", file, "--config", farm)
    assert told.out == "visits.csv: 0 visits added, 2 known already, 0 rows refused\n"


def test_a_file_that_is_not_there_exits_65(warmspell, farm, tmp_path):
    told = warmspell("scout", "import", tmp_path / "none.csv", "--config", farm)
    assert (told.code, told.out) == (65, "")
    assert "cannot be read" in told.err


def test_rows_can_come_from_another_program(process, farm):
    told = process("scout", "import", "-", "--config", farm, input=(HEADER + GOOD).encode())
    assert (told.returncode, told.stdout) == (
        0,
        b"-: 2 visits added, 0 known already, 0 rows refused\n",
    )
