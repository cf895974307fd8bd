"""Dew, inversions and the bounds of washing rain in the explanation of a field."""

from datetime import UTC, date, datetime

import pytest

from agronomy.thresholds import MaturityRules, SprayGates
from dispatch.field_rules import FieldRules
from dispatch.policy import Climate
from dispatch.report import Factors, HourStrip
from dispatch.words import LocalClock
from farm.treatment import Treatment
from scheduler.damp_air_lines import damp_air_lines
from scheduler.explanation import Evidence, explain
from scheduler.show_sections import show_sections
from scheduler.wash_words import wash_lines, wash_words

#: 6 am on Tuesday 6 October 2026 in the Central zone.
SIX_AM = datetime(2026, 10, 6, 11, tzinfo=UTC)
CLOCK = LocalClock("America/Chicago", "America/Chicago", date(2026, 10, 6))


def strip(leaf_wet: str = "", inversion: str = "", **more: object) -> HourStrip:
    hours = len(leaf_wet or inversion)
    return HourStrip(
        start_utc=SIX_AM,
        spray=("no",) * hours,
        why_not=("daylight",) * hours,
        temp_f=(60.0,) * hours,
        wind_mph=(5.0,) * hours,
        rain_chance_pct=(0.0,) * hours,
        leaf_wet=leaf_wet,
        inversion=inversion,
        **more,
    )


@pytest.mark.parametrize(
    ("letters", "words"),
    [
        ("yyy" + "n" * 21, "until about 9 am."),
        ("yyy" + "n" * 8 + "y" * 13, "until about 9 am and from about 5 pm on."),
        ("n" * 20 + "yyyy", "from about 2 am tomorrow on."),
        ("n" * 14 + "y" * 4 + "n" * 6, "from about 8 pm to midnight Tue-Wed."),
        (
            "y" + "nny" * 2 + "n",
            "until about 7 am, from about 9 am to 10 am and from about noon to 1 pm.",
        ),
        ("y" * 24, "throughout these hours."),
        ("yyy??" + "n" * 19, "until about 9 am; not known for 2 hours."),
    ],
)
def test_likely_hours_are_told_by_the_clock(letters, words):
    told = damp_air_lines(strip(letters, letters), 0, len(letters), CLOCK)
    assert told == (f"Leaves likely wet with dew {words}", f"Inversion possible {words}")


def test_hours_without_either_say_so_and_hours_not_known_never_read_as_dry():
    assert damp_air_lines(strip("nnnn", "n??n"), 0, 4, CLOCK) == (
        "No dew likely on the leaves in these hours.",
        "No inversion likely in these hours that are known; not known for 2 hours.",
    )
    assert damp_air_lines(strip("????", "n?nn"), 0, 4, CLOCK) == (
        "Not known whether dew wets the leaves in these hours.",
        "No inversion likely in these hours that are known; not known for 1 hour.",
    )


def test_only_the_hours_shown_are_told_and_older_records_tell_nothing():
    assert damp_air_lines(strip("yynnny"), 2, 5, CLOCK) == (
        "No dew likely on the leaves in these hours.",
    )
    assert damp_air_lines(strip("nnyyy"), 1, 4, CLOCK) == (
        "Leaves likely wet with dew from about 8 am on.",
    )
    assert damp_air_lines(strip(), 0, 0, CLOCK) == ()


def told(low: float | None, high: float | None, **more: object) -> Factors:
    return Factors(
        start_utc=SIX_AM,
        warmth=0.9,
        warmth_alive=0.9,
        wash_chance_pct=34.4,
        dry=0.8,
        ready=1.0,
        effect_pct=72.0,
        dose=1.0,
        wash_low_pct=low,
        wash_high_pct=high,
        **more,
    )


def rules(washing_in: float) -> FieldRules:
    climate = Climate(
        first_freeze_day=299,
        first_freeze_sd_days=11,
        killing_freeze_day=308,
        killing_freeze_sd_days=11,
        normal_high_f=(93, 86, 76, 64, 54),
        normal_low_f=(66, 58, 46, 34, 26),
        temp_sd_f=8,
        wet_day_pct=15,
    )
    treatment = Treatment(id="mix", name="Mix one", rain_free_h=12)
    return FieldRules(SprayGates(rain_threshold_in=washing_in), MaturityRules(), treatment, climate)


def test_the_chance_of_washing_rain_is_told_with_its_bounds():
    assert wash_words(told(20, 48.8)) == "34 % (20 to 49)"
    assert wash_lines(told(20, 48.8), rules(0.01)) == [
        "chance of washing rain 34 % (20 to 49 by what an interval's chance can mean)"
    ]


def test_bounds_that_agree_with_the_chance_are_not_repeated():
    assert wash_words(told(34.4, 34.4)) == "34 %"
    assert wash_lines(told(34.4, 34.4), rules(0.01)) == []


def test_bounds_by_amounts_below_the_chance_counted_with_say_what_they_are():
    assert wash_words(told(3, 12)) == "34 % (3 to 12)"
    assert wash_lines(told(3, 12), rules(0.25)) == [
        "chance of rain 34 %, counted whole; by the amounts told that of the 0.25 in that washes "
        "is 3 to 12 %"
    ]
    assert wash_lines(told(3.1, 3.2), None) == [
        "chance of rain 34 %, counted whole; by the amounts told that of rain that washes is 3 %"
    ]


def test_bounds_that_are_not_known_say_so_unless_climate_tells_the_chance():
    assert wash_words(told(None, None)) == "34 %"
    assert wash_lines(told(None, None), rules(0.01)) == [
        "chance of washing rain 34 %; its bounds are not known"
    ]
    assert wash_lines(told(None, None, on_climate=True), rules(0.01)) == []


def test_the_explanation_shows_them_with_humidity_and_cloud(report, capsys):
    call = report.fields[1]
    hours = strip("yn", "yy", humidity_pct=(93.0, None), sky_pct=(18.0, 20.0))
    call = call.model_copy(update={"factors_now": told(20, 48.8), "strip": hours})
    show_sections(explain(Evidence(report, call, [], rules(0.01))))
    text = capsys.readouterr().out

    assert "chance of washing rain 34 % (20 to 49 by what" in text
    assert "Leaves likely wet with dew until about 7 am." in text
    assert "Inversion possible throughout these hours." in text
    lines = text.splitlines()
    start = next(place for place, line in enumerate(lines) if "may start" in line)
    header, first, second = lines[start : start + 3]
    assert header.endswith("humidity  cloud")
    assert first.endswith("93 %      18 %")
    assert second.endswith("?         20 %")


def test_a_record_made_without_them_keeps_its_columns(report, capsys):
    show_sections(explain(Evidence(report, report.fields[1])))
    text = capsys.readouterr().out

    assert "humidity" not in text
    assert "dew" not in text
