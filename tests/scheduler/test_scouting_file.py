"""Scouting files as they really come: marks, separators, commas, ids that look like numbers."""

from datetime import UTC, date, datetime

import pytest

from farm.field import Field
from scheduler.data_error import DataError
from scheduler.scouting_file import read_scouting

NOW = datetime(2026, 10, 6, 11, tzinfo=UTC)


def field(field_id: str, name: str, planted_on: date | None = date(2026, 5, 20)) -> Field:
    return Field(
        id=field_id,
        name=name,
        grower_id="g1",
        latitude=36.5,
        longitude=-97.5,
        acres=80,
        time_zone="America/Chicago",
        treatment_id="mix",
        planted_on=planted_on,
    )


FIELDS = {
    one.id: one
    for one in (
        field("007", "Creek Bottom"),
        field("NA", "North Annex"),
        field("1E5", "East Five"),
        field("north-draw", "North Draw"),
    )
}
HEADER = "field_id,observed,plants_counted,nodes_above_cracked_boll,percent_open\n"


def read(text: str | bytes):
    content = text if isinstance(text, bytes) else text.encode()
    return read_scouting(content, "visits.csv", FIELDS, NOW)


def problems(text: str | bytes) -> list[str]:
    return [told for row in read(text).rejected for told in row.problems]


@pytest.mark.fault("I24")
def test_ids_stay_text():
    told = read(HEADER + "007,2026-10-04,12,3,\nNA,2026-10-04,12,3,\n1E5,2026-10-04,12,3,\n")
    assert [visit.field_id for visit in told.visits] == ["007", "NA", "1E5"]
    assert told.rejected == ()


@pytest.mark.fault("I21")
def test_a_byte_order_mark_is_not_part_of_the_first_column():
    told = read(b"\xef\xbb\xbf" + (HEADER + "007,2026-10-04,12,3.5,61\n").encode())
    assert told.visits[0].nodes_above_cracked_boll == 3.5


def test_spreadsheet_unicode_text_with_tabs_is_read():
    text = HEADER.replace(",", "\t") + "007\t2026-10-04\t12\t3,5\t\n"
    told = read(text.encode("utf-16"))
    assert told.visits[0].nodes_above_cracked_boll == 3.5
    assert told.visits[0].percent_open is None


@pytest.mark.fault("I22")
def test_semicolons_come_with_decimal_commas():
    told = read(HEADER.replace(",", ";") + "007;2026-10-04;12;3,5;61,25\n")
    assert told.visits[0].nodes_above_cracked_boll == 3.5
    assert told.visits[0].percent_open == 61.25


def test_a_separator_line_of_a_spreadsheet_is_honoured_and_counted():
    text = "sep=;\r\n" + HEADER.replace(",", ";") + "008;2026-10-04;12;3,5;\r\n"
    assert problems(text)[0].startswith('visits.csv:3: field_id: got "008"')


def test_a_decimal_comma_among_commas_is_refused_with_a_hint():
    assert problems(HEADER + '007,2026-10-04,12,"4,5",\n') == [
        'visits.csv:2: nodes_above_cracked_boll: got "4,5", wanted a number 0 to 25; '
        "write the decimal with a point"
    ]


def test_lone_carriage_returns_end_lines_too():
    assert len(read((HEADER + "007,2026-10-04,12,3,\n").replace("\n", "\r")).visits) == 1


@pytest.mark.fault("I23")
def test_text_that_is_not_utf_8_is_read_with_a_notice():
    text = "field_id,observed,percent_open,scout\n007,2026-10-04,61,Jos\xe9\n"
    told = read(text.encode("cp1252"))
    assert told.visits[0].scout == "José"
    assert told.notices == (
        "visits.csv: read as Windows-1252 text, since it is not UTF-8; check the names",
    )


@pytest.mark.fault("I15", "I16", "I17", "I25")
@pytest.mark.parametrize(
    ("row", "wanted"),
    [
        ("007,2026-10-04,12,four,", 'nodes_above_cracked_boll: got "four", wanted a number 0 to'),
        ("007,2026-10-04,12,-1,", 'nodes_above_cracked_boll: got "-1", wanted a number 0 to 25'),
        ("007,2026-10-04,12,45,", 'nodes_above_cracked_boll: got "45", wanted a number 0 to 25'),
        ("007,2026-10-04,12,NaN,", 'nodes_above_cracked_boll: got "NaN", wanted a number'),
        ("007,2026-10-04,12,1e1,", 'nodes_above_cracked_boll: got "1e1", wanted a number'),
        ("007,2026-10-04,12,,120", 'percent_open: got "120", wanted a number 0 to 100'),
        ("007,2026-10-04,12.5,3,", 'plants_counted: got "12.5", wanted a whole number 1 to 1000'),
        ("007,2026-10-04,0,3,", 'plants_counted: got "0", wanted a whole number 1 to 1000'),
        ("007,10/4/2026,12,3,", 'observed: got "10/4/2026", wanted a date or time such as 2026'),
        ("007,,12,3,", "observed: got nothing, wanted a date or time"),
        ("007,2026-10-06T07:30,12,3,", 'observed: got "2026-10-06T07:30", wanted no later than'),
        ("007,2026-10-07,12,3,", 'observed: got "2026-10-07", wanted no later than now'),
        ("007,2026-05-01,12,3,", 'observed: got "2026-05-01", wanted after the planting on 2026'),
        ("7,2026-10-04,12,3,", 'field_id: got "7", wanted the id of a registered field'),
        ("North Drow,2026-10-04,12,3,", 'registered field; did you mean "north-draw"?'),
        (",2026-10-04,12,3,", "field_id: got nothing, wanted the id of a registered field"),
        ("007,2026-10-04,12,3", "row: got 4 cells, wanted 5 as in the header"),
        ("007,2026-10-04,12,3,61,9", "row: got 6 cells, wanted 5 as in the header"),
        ("007,2026-10-04,12,,", "got no count at all, wanted nodes, percent open, cut bolls or"),
    ],
)
def test_a_row_that_cannot_be_used_is_named_with_what_is_wrong(row, wanted):
    told = read(HEADER + "NA,2026-10-04,10,3,\n" + row + "\n")
    assert len(told.visits) == 1
    assert len(told.rejected) == 1
    assert told.rejected[0].line == 3
    assert told.rejected[0].row == row
    assert told.rejected[0].problems[0].startswith("visits.csv:3: ")
    assert wanted in told.rejected[0].problems[0]


def test_every_problem_of_a_row_is_told():
    assert len(problems(HEADER + "008,soon,x,four,half\n")) == 5


def test_lines_are_counted_through_blank_rows_and_notes_over_several_lines():
    text = 'field_id,observed,percent_open,note\n\n007,2026-10-04,61,"two\nlines"\n,,,\n008,x,1,\n'
    told = read(text)
    assert told.visits[0].note == "two\nlines"
    assert told.rejected[0].line == 6


def test_empty_columns_after_the_last_are_ignored():
    told = read(HEADER.replace("\n", ",,\n") + "007,2026-10-04,12,3,,,\n")
    assert len(told.visits) == 1


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("", "visits.csv: got an empty file"),
        (HEADER, "visits.csv: got a header and no rows"),
        ("hello\n", 'visits.csv:1: got "hello", wanted a header such as field_id,observed'),
        (
            "field_id,observed,percent_opn\n007,2026-10-04,3\n",
            'visits.csv:1: got column "percent_opn", which is not known; did you mean "percent_op',
        ),
        ("field_id,percent_open\n007,3\n", 'visits.csv:1: got no column "observed", wanted it'),
        (
            "field_id,observed,percent_open,percent_open\n007,2026-10-04,3,4\n",
            'visits.csv:1: got column "percent_open" twice',
        ),
        (HEADER + '007,2026-10-04,12,"3,\n', "visits.csv:2: got a broken row"),
        ("PK\x03\x04\x00\x00,", "visits.csv: got a binary file, wanted CSV text"),
    ],
)
def test_a_file_that_cannot_be_used_is_refused_whole(text, wanted):
    with pytest.raises(DataError) as refusal:
        read(text)
    assert refusal.value.lines[0].startswith(wanted)


def test_headers_may_be_written_as_people_write_them():
    assert len(read("Field ID, Observed ,Percent-Open\n007,2026-10-04,61\n").visits) == 1
