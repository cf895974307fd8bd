"""How fresh forecasts are and how good they were, as the board tells it."""

import json
import re
from dataclasses import replace
from datetime import date, timedelta

import pytest

from dispatch.own_error_figures import OwnErrorFigures, OwnErrorLead
from dispatch.report import FreezeAlertFigures
from dispatch.words import LocalClock
from forecasts.tellers import Tellers
from web.sky_view import alerts_now, fault_rows, source_rows

TODAY = date(2026, 10, 6)
CLOCK = LocalClock("America/Chicago", "America/Chicago", TODAY)
LIMITS_H = (6.0, 12.0, 24.0)


def errors(enough, unit="f"):
    told = {"lead_days": 1, "nights": 80 if enough else 4, "n": 80, "left_out": 0}
    figures = {f"bias_{unit}": 1.25, f"mae_{unit}": 3.06, f"rmse_{unit}": 3.98}
    return [told | {"enough": enough} | figures]


def odds(enough, lead=None):
    one = {"from_pct": 20, "to_pct": 30, "n": 40, "enough": True, "told_pct": 24.6}
    came = {"came_pct": 17.4, "came_low_pct": 9.8, "came_high_pct": 27.1}
    told = {"lead_days": lead, "nights": 90, "n": 90, "left_out": 0, "enough": enough}
    scores = {"brier": 0.1234, "base_rate_pct": 29.4, "base_rate_brier": 0.2075}
    return told | scores | {"reliability": [] if lead else [one | came]}


def scores(enough=True, field_id="creek-bottom"):
    promised = {"held": 5, "broken": 1, "not_over": 2, "not_known": 0, "mornings": 3}
    source = {
        "source": "US National Weather Service",
        "issues": 80,
        "first_on": "2026-09-20",
        "last_on": "2026-12-08",
        "lows": errors(enough),
        "highs": errors(enough),
        "wind": errors(enough, "mph"),
        "freeze_odds": {"nights": [odds(enough, 1), odds(enough)], "seven_nights": odds(False)},
        "rain_odds": {"days": [odds(enough, 1), odds(enough)]},
    }
    told = promised | {"enough": False}
    return {
        "observed": [{"words": "thermometer.csv, of a place", "field_id": field_id, "cells": []}],
        "mornings": 3,
        "sources": [source],
        "windows": {"windows": 8, "no_freeze": told, "rain_free": told},
    }


@pytest.fixture
def keep(farm):
    """Keeps scores as `warmspell verify` would."""

    def kept(told):
        farm.stores.verifications.keep(json.dumps(told), farm.now - timedelta(hours=2))

    return kept


def words_of(answer):
    assert answer.status_code == 200
    return " ".join(re.sub(r"<[^>]+>", " ", answer.text).split())


def test_without_any_scores_the_command_that_makes_them_is_said(client_as):
    answer = client_as("scout").get("/sky")
    assert "warmspell verify --observed FILE" in words_of(answer)
    assert "plot-data" not in answer.text
    assert "bokeh" not in answer.text


def test_scores_are_told_as_they_were_found(client_as, keep):
    keep(scores())
    answer = client_as("consultant").get("/sky")
    told = words_of(answer)
    # Rounded by hand from the figures above.
    for row in ("1 80 1.2 3.1 4.0", "1 90 29 in 100 0.123 0.207", "20-30 40 25 17 10-27"):
        assert row in told or row.replace("0.207", "0.208") in told
    assert "Found today 4:10 am, against thermometer.csv, of a place." in told
    assert "Nights without a freeze: held 5 of 6, on 3 mornings, too few to judge" in told
    assert answer.text.count('class="plot-data"') == 3
    assert "'unsafe-inline'" in answer.headers["content-security-policy"]
    assert "script-src 'self'" in answer.headers["content-security-policy"]


def test_too_few_nights_are_said_and_draw_nothing(client_as, keep):
    keep(scores(enough=False))
    answer = client_as("consultant").get("/sky")
    assert "1 4 too few to judge" in words_of(answer)
    assert "1.2" not in words_of(answer)
    assert 'class="plot-data"' not in answer.text


def test_a_metric_farm_reads_errors_in_its_units(client_as, keep, app, desk):
    """9 F apart are 5 C apart: 3.06 F are 1.7 C."""
    keep(scores())
    app.state.desk = replace(desk, farm=replace(desk.farm, units="metric"))
    told = words_of(client_as("consultant").get("/sky"))
    assert "Lows [C]" in told
    assert "1 80 0.7 1.7 2.2" in told


def test_scores_of_another_version_are_not_guessed_at(client_as, keep):
    keep({"sources": "none"})
    assert "was kept by another version" in words_of(client_as("scout").get("/sky"))


def test_a_grower_is_not_told_at_which_field_of_others_it_was_observed(client_as, keep, farm):
    fields = farm.config.fields
    other = next(one for one in fields if one.grower_id != "hallock")
    own = next(one for one in fields if one.grower_id == "hallock")
    client = client_as("grower", ("hallock",))
    keep(scores(field_id=other.id))
    assert "thermometer.csv" not in client.get("/sky").text
    keep(scores(field_id=own.id))
    assert "thermometer.csv" in client.get("/sky").text


def test_ages_count_to_now_and_not_to_the_morning(client_as, clock):
    """The demo's forecast of most fields was issued at 2:40 am."""
    assert "today 2:40 am 4 h old" in words_of(client_as("scout").get("/sky"))
    clock.passes(timedelta(hours=10))
    assert "today 2:40 am 14 h old no spray call stands" in words_of(client_as("scout").get("/sky"))


def test_a_forecast_that_came_since_is_told(client_as, farm, clock):
    report = farm.stores.plans.latest()
    cell = report.fields[-1].forecast.cell_id
    kept = farm.stores.forecasts.latest(cell)
    newer = replace(kept, issued_utc=farm.now + timedelta(hours=1), fetched_utc=farm.now)
    assert farm.stores.forecasts.keep(newer)
    clock.passes(timedelta(hours=2))
    assert re.search(r"today 7:10 am, for \d fields?", words_of(client_as("scout").get("/sky")))


def test_what_is_wrong_is_told_with_cells_and_names(client_as):
    """The demo's West Well has a forecast of 30 hours, issued Mon 12:10 am."""
    told = words_of(client_as("dispatcher").get("/sky"))
    assert "It was 30 h old on that morning, and no newer one came. West Well nws:QQX/59,85" in told


def test_no_alert_is_no_sign_of_safety(client_as):
    assert "no sign of safety" in words_of(client_as("scout").get("/sky"))


@pytest.fixture
def one_field(farm):
    return farm.stores.plans.latest().fields[-1]


def test_an_alert_that_is_over_is_not_in_force(one_field, farm):
    def alert(name, hours):
        return FreezeAlertFigures(
            event=name, sender="NWS Sandhill", ends_utc=farm.now + timedelta(hours=hours)
        )

    told = one_field.model_copy(
        update={"alerts": (alert("Freeze Watch", -1), alert("Freeze Warning", 3))}
    )
    lines, unknown = alerts_now([told], CLOCK, farm.now)
    assert len(lines) == 1
    assert lines[0].startswith("Freeze Warning by NWS Sandhill")
    assert unknown == ()


def test_alerts_that_are_not_known_are_said(one_field, farm):
    told = one_field.model_copy(update={"alerts_problem": "no answer about alerts"})
    assert alerts_now([told, told], CLOCK, farm.now) == (
        (),
        ("No answer about alerts (2 fields).",),
    )


def test_who_stands_in_is_told_apart_from_who_leads(one_field, farm):
    stood_in = one_field.forecast.model_copy(
        update={"source": "MET Norway", "cell_id": "met_norway:33.1,-101.2"}
    )
    other = one_field.model_copy(
        update={
            "forecast": stood_in,
            "field": one_field.field.model_copy(update={"id": "other"}),
        }
    )
    asked = Tellers("nws", "met_norway")
    tellers = {one_field.field.id: asked, "other": asked}
    rows = source_rows([one_field, other], tellers, {}, LIMITS_H, CLOCK, farm.now)
    assert [(one.source, one.part) for one in rows] == [
        ("MET Norway", "stands in"),
        ("US National Weather Service", "leads"),
    ]


def test_a_cell_without_a_forecast_is_said_to_have_none(one_field, farm):
    none = one_field.forecast.model_copy(
        update={
            "source": "",
            "issued_utc": None,
            "age_h": None,
            "problem": "the service did not answer",
            "rejected": ("wind of 400 mph",),
        }
    )
    told = one_field.model_copy(update={"forecast": none})
    (row,) = source_rows([told], {}, {}, LIMITS_H, CLOCK, farm.now)
    assert (row.part, row.oldest_age, row.standing) == (
        "none",
        "not known",
        "no call stands on it",
    )
    assert [one.what for one in fault_rows([told], LIMITS_H[1])] == [
        "Not believed: wind of 400 mph.",
        "The service did not answer.",
    ]


def test_own_errors_of_a_morning_are_a_table_for_who_reads_figures(client_as, farm):
    lead = OwnErrorLead(
        lead_days=1,
        nights=75,
        weight_frac=0.556,
        default_bias_f=0.0,
        bias_f=0.6,
        default_sd_f=5.1,
        sd_f=4.0,
        dof=6.0,
    )
    own = OwnErrorFigures(source="US National Weather Service", kept_on=TODAY, leads=(lead,))
    report = farm.stores.plans.latest()
    run = report.run.model_copy(
        update={"own_low_errors": own, "made_utc": report.run.made_utc + timedelta(minutes=1)}
    )
    farm.stores.plans.keep(report.model_copy(update={"run": run}), {})
    told = words_of(client_as("dispatcher").get("/sky"))
    assert "1 75 56 in 100 5.1 to 4.0 0.0 to 0.6" in told
    assert "5.1 to 4.0" not in words_of(client_as("grower", ("hallock",)).get("/sky"))
