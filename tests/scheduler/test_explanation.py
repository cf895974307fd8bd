"""What `explain` tells about one field."""

from datetime import UTC, datetime
from uuid import uuid4

import pytest

from farm.records import Visit
from scheduler.explanation import CAUTION, Evidence, explain
from scheduler.show_sections import show_sections
from scheduler.tables import show_table


@pytest.fixture
def told(report, capsys):
    def text(place: int) -> str:
        call = report.fields[place]
        visit = Visit(
            uuid=uuid4(),
            field_id=call.field.id,
            observed_utc=datetime(2026, 10, 4, 14, tzinfo=UTC),
            scout="R. Vale",
            plants_counted=12,
            nodes_above_cracked_boll=3.2,
            percent_open=64,
            bolls_cut=10,
            bolls_cut_mature=9,
        )
        show_sections(explain(Evidence(report, call, [visit] if place == 1 else [])))
        return capsys.readouterr().out

    return text


@pytest.mark.parametrize(
    "line",
    [
        "North Draw: SPRAY, number 1 of 1",
        "118 ac, grower Vale Farms, treatment Full mix, id 007",
        "effect 91.4 = 100 x 0.9500 x 0.9820 x 0.9800",
        "The line is 5 days long: 62 rig-hours of fields",
        "cost of the back of the line 28.0 = 91.4 now - 63.4 from there (Sun 11 Oct)",
        "order points 413 = 28.0 x 118 ac / 8.00 rig-hours",
        "the worth of 33 acres",
        "Thu 2 pm (the freeze ends it)",
        "by the forecast alone, none through Tue 13 Oct 6 pm",
        "8 in 100",
        "31 h seen, the label wants 24 h",
        "58 DD60",
        "NACB 3.2, at most 4 counts as mature",
        "9 of 10",
        "today 3 am, 3 h old (fresh)",
        "nws:QQX/61,84",
        CAUTION,
    ],
)
def test_every_figure_behind_a_call_is_told(told, line):
    assert line in told(1)


def test_the_printed_multiplication_is_right(report):
    now = report.fields[1].factors_now
    assert now is not None
    assert 100 * now.warmth_alive * now.dry * now.ready == pytest.approx(now.effect_pct, abs=0.1)


def test_the_gates_of_each_hour_are_told(told):
    lines = told(1).splitlines()
    start = next(place for place, line in enumerate(lines) if line.startswith("The next hours"))
    hours = [line.split("  ") for line in lines[start + 3 : start + 7]]
    assert [cells[0].strip() for cells in hours] == [
        "today 6 am",
        "today 7 am",
        "today 8 am",
        "today 9 am",
    ]
    assert "dark" in lines[start + 3]
    assert "yes, a full window" in lines[start + 4]
    assert "rain before 24 h" in lines[start + 5]
    assert lines[start + 6].count("?") == 3


def test_a_field_that_is_not_known_says_so_and_what_to_do(told):
    text = told(0)
    assert text.startswith("=Cottonwood: NOT KNOWN\n")
    assert "To do: Look at the sky yourself." in text
    assert "odds not known; no night is seen" in text
    assert "not known, the label wants 24 h" in text
    assert "nan" not in text.casefold()
    assert "None" not in text


def test_a_sprayed_field_says_when(told):
    text = told(2)
    assert text.startswith("Home Place: SPRAYED Thu 2 pm")
    assert "Tue 6 Oct, again Tue 13 Oct" in text
    assert "freeze in 7 days" not in text


def test_a_name_cannot_send_commands_to_the_terminal(capsys):
    show_table(("field",), [("\x1b[2Jevil\nname",)])
    assert capsys.readouterr().out == "field\n[2Jevil name\n"
