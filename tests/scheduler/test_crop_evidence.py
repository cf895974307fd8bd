"""What `explain` tells of warmth, of what is given up, and of the time after a spray."""

from datetime import UTC, date, datetime
from uuid import UUID

import pytest

from dispatch.words import LocalClock
from farm.records import Visit
from scheduler.crop_evidence import after_spray_lines, given_up_lines, warmth_lines
from scheduler.explanation import Evidence, explain
from scheduler.outputs import report_json

CLOCK = LocalClock("America/Chicago", "America/Chicago", date(2026, 10, 6))


@pytest.fixture
def sprayable(report):
    return report.fields[1].model_copy(
        update={
            "heat_units_14d_f_days": 96.4,
            "heat_14d_on_climate": True,
            "leaf_drop_expected_on": date(2026, 10, 17),
            "spray_now_costs_crop_pct": 0.77,
            "spray_now_costs_by": "nodes",
            "waiting_costs_crop_pct": 7.0,
        }
    )


def said(lines) -> str:
    return " ".join(" ".join(lines).split())


def test_warmth_stands_beside_that_of_the_trials(sprayable):
    told = said(warmth_lines(sprayable))
    assert "warmth of 7 days: 58 DD60 (F days above 60F)" in told
    # Gwathmey and Hayes, Beltwide 1996 (S9).
    assert "24 to 40 planted late, 70 to 92 planted early" in told
    assert "by day 7 ethephon opened more bolls in one only, at 70 (S9)" in told
    assert "warmth of 14 days: 96 DD60, its end at the season's normal" in told
    assert "52 to 108; by day 14 ethephon opened more in all (S9)" in told
    assert "leaf drop full about: Sat 17 Oct if sprayed now, by warmth; our own scale" in told


def test_two_weeks_wholly_forecast_name_no_climate(sprayable):
    seen = sprayable.model_copy(update={"heat_14d_on_climate": False})
    assert "normal" not in said(warmth_lines(seen))


@pytest.mark.parametrize(
    ("wait", "words"),
    [
        (7.0, "about 0.8 % of the crop to spray today, about 7 % to wait"),
        (-1.25, "about 0.8 % of the crop to spray today, waiting gains about 1.2 %"),
        (None, "about 0.8 % of the crop to spray today, to wait not known"),
    ],
)
def test_what_is_given_up_is_one_line(sprayable, wait, words):
    call = sprayable.model_copy(update={"waiting_costs_crop_pct": wait})
    told = said(given_up_lines(call))
    assert words in told
    assert "an upper bound, by the nodes" in told
    # 5.90 % for each of the 0.51 nodes above 2.69 (S3).
    assert "micronaire: 3 % less in bolls at the top node" in told


def test_by_percent_open_it_names_the_trials_and_no_micronaire(sprayable):
    counts = sprayable.maturity.model_copy(update={"nodes_above_cracked_boll": None})
    call = sprayable.model_copy(update={"maturity": counts, "spray_now_costs_by": "open"})
    told = said(given_up_lines(call))
    assert "by percent open, from trials of early sprays" in told
    assert "micronaire" not in told


def test_what_is_not_known_is_not_told(report):
    assert warmth_lines(report.fields[0]) == []
    assert given_up_lines(report.fields[0]) == []


def test_after_a_spray_leaf_drop_second_pass_and_harvest_are_told(report):
    done = report.fields[2].follow_up.model_copy(
        update={
            "leaf_drop_pct": 62.0,
            "leaf_drop_seen_utc": datetime(2026, 10, 3, 15, tzinfo=UTC),
            "second_pass": True,
            "second_pass_words": "62 % leaf drop Sat, below 75: consider a second pass.",
            "harvest_from": date(2026, 10, 15),
        }
    )
    told = said(after_spray_lines(done, CLOCK))
    assert "leaf drop seen: 62 % Sat 10 am; 75 is enough, 80 for a stripper" in told
    assert "second pass: 62 % leaf drop Sat, below 75" in told
    assert "harvest from: Thu 15 Oct, later if cool; the label's days are not entered" in told
    labelled = done.model_copy(update={"harvest_label_entered": True})
    assert "with the label's days counted in" in said(after_spray_lines(labelled, CLOCK))


def test_a_look_at_leaf_drop_stands_among_the_visits(report):
    sprayed = report.fields[2]
    look = Visit(
        uuid=UUID(int=9),
        field_id=sprayed.field.id,
        observed_utc=datetime(2026, 10, 5, 15, tzinfo=UTC),
        leaf_drop_pct=62,
    )
    sections = explain(Evidence(report, sprayed, [look]))
    (visits,) = (part for part in sections if part.title == "The maturity")
    assert dict(zip(visits.headers, visits.rows[0], strict=True))["leaf off"] == "62 %"


def test_the_sections_and_the_json_hold_them(report, sprayable):
    calls = (report.fields[0], sprayable, report.fields[2])
    made = report.model_copy(update={"fields": calls})
    lines = [line for part in explain(Evidence(made, sprayable)) for line in part.lines]
    assert "about 7 % to wait" in said(lines)
    assert "52 to 108" in said(lines)
    written = report_json(made)
    assert '"spray_now_costs_crop_pct": 0.77' in written
    assert '"waiting_costs_crop_pct": 7.0' in written
    assert '"heat_14d_on_climate": true' in written
