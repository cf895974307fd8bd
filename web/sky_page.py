"""How fresh the forecasts are, what is wrong with them, and how good they were here."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import HTMLResponse
from markupsafe import Markup

from dispatch.own_error_figures import OwnErrorFigures
from dispatch.report import FieldCall
from dispatch.words import LocalClock, day
from farm.field import Field
from farm.people import Role
from notify.forecast_words import forecast_words
from notify.freeze_words import freeze_outlook, freeze_sentences
from notify.further_words import further_line
from notify.own_error_words import own_errors_line
from notify.role_detail import DETAIL
from notify.user_text import with_stop
from web.guard import viewer
from web.pages import page
from web.plots import PLOTS_CSP, plot_data
from web.sky_desk import SkyDesk
from web.sky_plots import errors_plot, reliability_plot
from web.sky_scores import (
    Scores,
    ScoreTable,
    SourceScore,
    apart,
    bin_table,
    error_table,
    odds_table,
    promise_line,
    read_scores,
    span_words,
)
from web.sky_view import alerts_now, fault_rows, source_rows
from web.units import Units, unit
from web.viewer import Viewer

router = APIRouter()


@dataclass(frozen=True)
class Drawn:
    """A plot by the id of its place in the page."""

    name: str
    title: str
    data: Markup


@dataclass(frozen=True)
class Told:
    """How one source did: tables, and plots of what there are enough nights for."""

    title: str
    tables: Sequence[ScoreTable]
    plots: Sequence[Drawn]


@router.get("/sky", include_in_schema=False)
def sky(request: Request, told: Annotated[Viewer, Depends(viewer)]) -> HTMLResponse:
    """The page."""
    desk = request.app.state.desk
    whole = desk.mornings.latest()
    if whole is None:
        return page(request, "no_morning.html")
    report, now = told.seen(whole), desk.clock()
    asked: SkyDesk = desk.sky
    zone = desk.farm.time_zone
    today = LocalClock(zone, zone, date.min).local(now).date()
    clock = LocalClock(zone, zone, today)
    # What is sprayed or picked waits for no forecast.
    fields = report.standing("open") or report.fields
    figures = told.role != "grower" or DETAIL[Role.GROWER].figures
    limits_h = asked.age_limits_h()
    alerts, alerts_unknown = alerts_now(fields, clock, now)
    kept = asked.verified()
    scores = read_scores(kept) if kept is not None else None
    own = report.run.own_low_errors if figures else None
    answer = page(
        request,
        "sky.html",
        made=clock.moment(report.run.made_utc),
        of_today=clock.local(report.run.made_utc).date() == today,
        badge=forecast_words(report, clock).badge,
        outlook=_outlook(fields, clock, figures),
        sources=source_rows(
            fields,
            asked.tellers(),
            asked.newest_issues({one.forecast.cell_id for one in fields}),
            limits_h,
            clock,
            now,
        ),
        faults=fault_rows(fields, limits_h[1]),
        looks=[(one.name, one.word, with_stop(one.told)) for one in asked.looks()],
        alerts=alerts,
        alerts_unknown=alerts_unknown,
        verified=clock.moment(kept.verified_utc) if kept is not None else "",
        observed=_observed(scores, told, desk.farm.fields),
        unreadable=kept is not None and scores is None,
        told=_told(scores, desk.farm.units),
        windows=_windows(scores),
        own=own_errors_line(own),
        own_table=_own_table(own, desk.farm.units) if own is not None and own.used else None,
    )
    answer.headers["content-security-policy"] = PLOTS_CSP
    return answer


def _outlook(fields: tuple[FieldCall, ...], clock: LocalClock, figures: bool) -> list[str]:
    lines = [*freeze_sentences(freeze_outlook(fields), clock)]
    further = further_line(fields, clock) if figures else ""
    return [*lines, *([further] if further else [])]


def _observed(scores: Scores | None, told: Viewer, fields: Mapping[str, Field]) -> list[str]:
    """Whose observations they were, as far as the reader may know of the field they name."""
    if scores is None:
        return []
    return [
        one.words
        for one in scores.observed
        if one.field_id in fields and told.sees(fields[one.field_id])
    ]


def _told(scores: Scores | None, units: Units) -> list[Told]:
    if scores is None:
        return []
    return [_of_source(number, one, units) for number, one in enumerate(scores.sources)]


def _of_source(number: int, one: SourceScore, units: Units) -> Told:
    freeze, rain = one.freeze_odds, one.rain_odds.days
    tables = [
        error_table("Lows", one.lows, "temp", units),
        error_table("Highs", one.highs, "temp", units),
        error_table("Wind, 8 am to 6 pm by the hour", one.wind, "speed", units),
        odds_table("Odds of a freeze, night by night", freeze.nights, freeze.seven_nights),
        *(bin_table("Odds of a freeze against what came", each) for each in freeze.nights[-1:]),
        odds_table("Chance of rain, day by day", rain),
        *(bin_table("Chance of rain against what came", each) for each in rain[-1:]),
    ]
    drawn = [
        ("errors", "Errors by days ahead", errors_plot(one, units)),
        *(("freeze", "Odds of a freeze", reliability_plot(each)) for each in freeze.nights[-1:]),
        *(("rain", "Chance of rain", reliability_plot(each)) for each in rain[-1:]),
    ]
    plots = [
        Drawn(f"{name}-{number}", title, plot_data(model, f"{name}-{number}"))
        for name, title, model in drawn
        if model is not None
    ]
    return Told(span_words(one), [table for table in tables if table.rows], plots)


def _windows(scores: Scores | None) -> list[str]:
    if scores is None:
        return []
    if not scores.windows.windows:
        return ["No full window has been promised here in a morning that was sent."]
    return [
        promise_line("Nights without a freeze", scores.windows.no_freeze),
        promise_line("Rain-free hours", scores.windows.rain_free),
        "Fields of one cell share their weather: mornings count, not windows.",
    ]


def _own_table(own: OwnErrorFigures, units: Units) -> ScoreTable:
    """How each lead moved from the usual errors to those that count."""
    rows = [
        (
            str(one.lead_days),
            str(one.nights),
            f"{100 * one.weight_frac:.0f} in 100",
            f"{apart(one.default_sd_f, 'temp', units):.1f} to {apart(one.sd_f, 'temp', units):.1f}"
            + (", held at the bound" if one.held else ""),
            f"{apart(one.default_bias_f, 'temp', units):.1f} to "
            f"{apart(one.bias_f, 'temp', units):.1f}",
        )
        for one in own.leads
    ]
    kept = f", kept {day(own.kept_on)}" if own.kept_on else ""
    headers = ("days ahead", "nights", "weight", "sd", "bias")
    title = f"Own errors of {own.source}{kept} [{unit('temp', units)}]"
    return ScoreTable(title, headers, tuple(rows))
