"""The coming days of a field as `explain` shows them."""

from datetime import date

from dispatch.report import ComingDay
from scheduler.coming_days import coming_days_section
from scheduler.explanation import Evidence, explain


def test_the_coming_days_are_a_small_table_after_the_maturity(report):
    days = (
        ComingDay(
            date=date(2026, 10, 7), nacb=5.24, nacb_low=4.4, nacb_high=6.06, percent_open=47.6
        ),
    )
    call = report.fields[1]
    maturity = call.maturity.model_copy(update={"coming_days": days})
    call = call.model_copy(update={"maturity": maturity})

    sections = explain(Evidence(report, call))

    titles = [section.title for section in sections]
    place = titles.index("The coming days")
    assert titles[place - 1] == "The maturity"
    assert sections[place].rows == (("Wed 7 Oct", "5.2", "4.4 to 6.1", "48 %"),)
    assert "only a count in the field" in sections[place].lines[0]


def test_a_field_without_a_projection_has_no_table(report):
    section = coming_days_section(report.fields[1])
    assert (section.lines, section.rows) == ((), ())
