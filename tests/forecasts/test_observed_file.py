"""A user's CSV of daily lows, highs and rain."""

from datetime import date, timedelta

import pytest

from forecasts.observed_file import ObservedFileError, read_observed_file


@pytest.fixture
def written(tmp_path):
    def write(text: str, encoding: str = "utf-8"):
        file = tmp_path / "seen.csv"
        file.write_text(text, encoding)
        return file

    return write


def refusal(file) -> str:
    with pytest.raises(ObservedFileError) as refused:
        read_observed_file(file)
    assert all("\n" not in line for line in refused.value.lines)
    return "\n".join(refused.value.lines)


def test_figures_are_read_by_date_and_empty_cells_were_not_observed(written):
    told = read_observed_file(
        written("Date, LOW_F ,high_f,rain_in,note\n2026-10-06,41,,0\n2026-10-07,M,77.5,T,cool\n")
    )[""]
    assert told.lows_f == {date(2026, 10, 6): 41.0}
    assert told.highs_f == {date(2026, 10, 7): 77.5}
    assert told.rains_in == {date(2026, 10, 6): 0.0}


def test_each_field_may_have_a_record_of_its_own(written):
    told = read_observed_file(written("field,date,low_f\nnd1,2026-10-06,41\nnd2,2026-10-06,38\n"))
    assert {key: one.lows_f[date(2026, 10, 6)] for key, one in told.items()} == {
        "nd1": 41.0,
        "nd2": 38.0,
    }


def test_a_spreadsheet_may_mark_its_encoding_and_leave_rows_empty(written):
    told = read_observed_file(written("date,low_f\n2026-10-06,41\n,\n", "utf-8-sig"))
    assert told[""].lows_f == {date(2026, 10, 6): 41.0}


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("date,low_c\n2026-10-06,5\n", ":1: header: got low_c, wanted low_f; convert the column"),
        ("date,rain_mm\n2026-10-06,5\n", "got rain_mm, wanted rain_in; convert the column"),
        ("date,tmax\n2026-10-06,5\n", "got tmax, wanted high_f"),
        ("day,low_f\n1,41\n", "got the columns day, low_f, wanted date and some of low_f"),
        ("", "got the columns none"),
        ("date,low_f\n", "got no figures, wanted rows with some"),
        ("date,low_f\n6 Oct,41\n", ':2: date: got "6 Oct", wanted a day as "2026-10-27"'),
        ("date,low_f\n2026-10-06,cold\n", ':2: low_f: got "cold", wanted deg F from -60 to 100'),
        ("date,low_f\n2026-10-06,nano\n", 'got "nano"'),
        ("date,low_f\n2026-10-06,inf\n", 'got "inf"'),
        ("date,rain_in\n2026-10-06,25\n", ':2: rain_in: got "25", wanted inches from 0 to 20'),
        (
            "date,low_f\n2026-10-06,41\n2026-10-06,42\n",
            ":3: low_f: got 42 for 2026-10-06, which has 41 above; delete one",
        ),
    ],
)
def test_what_cannot_be_used_is_refused_in_one_line(written, text, words):
    told = refusal(written(text))
    assert words in told
    assert "\n" not in told


def test_every_bad_row_is_named_but_not_without_end(written):
    told = refusal(written("date,low_f\n" + "x,1\n" * 3))
    assert [f":{line}: date" in told for line in (2, 3, 4)] == [True] * 3
    assert refusal(written("date,low_f\n" + "x,1\n" * 300)).count("\n") == 19


@pytest.mark.parametrize(("column", "value"), [("low_f", 14.0), ("high_f", 29.0)])
def test_a_record_in_celsius_is_refused(written, column, value):
    start = date(2026, 9, 1)
    rows = [f"{start + timedelta(days=one)},{value + one % 3}" for one in range(30)]
    told = refusal(written(f"date,{column}\n" + "\n".join(rows)))
    assert f":1: {column}: got {value + 1:g} in the middle of May to" in told
    assert "it looks like Celsius: convert the column" in told


def test_a_cold_november_is_not_taken_for_celsius(written):
    start = date(2026, 11, 1)
    rows = [f"{start + timedelta(days=one)},{20 + one % 3},{38 + one % 5}" for one in range(30)]
    told = read_observed_file(written("date,low_f,high_f\n" + "\n".join(rows)))
    assert len(told[""].lows_f) == 30


def test_a_file_that_is_not_there_is_one_line(tmp_path):
    assert "got no UTF-8 text to read" in refusal(tmp_path / "none.csv")
