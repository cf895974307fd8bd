"""Today's order: what to spray next, what to walk, what waits, and why."""

from typing import Annotated

from fastapi import APIRouter, Depends, Query, Request
from fastapi.responses import HTMLResponse
from markupsafe import Markup

from dispatch.report import MorningReport
from dispatch.routes.called import Since
from dispatch.words import LocalClock
from notify.compose import lead, tally
from notify.forecast_words import forecast_words
from web.guard import viewer
from web.kept import KeptByPlan
from web.order_changes import changes_line
from web.order_rows import sections
from web.pages import page, templates
from web.units import Units
from web.viewer import Viewer

router = APIRouter()

#: Bodies of the last plan, by who may see them.
_bodies: KeptByPlan[Markup] = KeptByPlan()


@router.get("/", include_in_schema=False)
def order(
    request: Request,
    told: Annotated[Viewer, Depends(viewer)],
    section: Annotated[str, Query(max_length=12)] = "",
    first: Annotated[int, Query(ge=0, le=100_000)] = 0,
) -> HTMLResponse:
    """Today's order."""
    report = request.app.state.desk.mornings.latest()
    if report is None:
        return page(request, "no_morning.html")
    since = request.app.state.desk.mornings.since(report)
    units = request.app.state.desk.farm.units
    # What stands changes with records, and with the hour as forecasts grow old.
    stands = (since.sprayed, since.frozen, frozenset(since.standing.skipped), since.start_utc)
    asked = (told.role == "grower", told.grower_ids, section, first, units, *stands)

    def make() -> Markup:
        seen, before = told.seen(report), request.app.state.desk.mornings.called_before(report)
        changed = "" if before is None else changes_line(seen, since, before)
        return _body(seen, since, section, first, units, changed)

    return page(request, "order.html", body=_bodies.of(report, asked, make))


def _body(
    report: MorningReport, since: Since, section: str, first: int, units: Units, changed: str
) -> Markup:
    run = report.run
    clock = LocalClock(run.time_zone, run.time_zone, run.local_date)
    text = (
        templates()
        .get_template("order_body.html")
        .render(
            run=run,
            made=clock.moment(run.made_utc),
            lead=lead(report, clock),
            tally=tally(report),
            sections=sections(report, since, section, first, units),
            only=section,
            of_today=clock.local(since.now).date() == run.local_date,
            forecast=forecast_words(report, clock),
            changed=changed,
        )
    )
    # Made by templates that escape all they are given.
    return Markup(text)
