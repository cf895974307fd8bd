"""One field: what to do, why, the hours and nights ahead, how it opened, and its records."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, Any, NoReturn

from fastapi import APIRouter, Depends, HTTPException, Request
from fastapi.responses import HTMLResponse

from dispatch.report import MorningReport
from notify.reasons import sentences
from notify.user_text import plain_line
from web.course_plot import course_plot
from web.day_cards import day_cards
from web.desk import Desk
from web.field_desk import ExplainedSection, KeptRecord
from web.field_hours import hour_rows, hours_ahead
from web.field_maturity import course_of
from web.field_nights import nights_ahead
from web.field_place import beside, chains
from web.field_plots import hours_plot
from web.field_records import RecordTable, mixes_of, record_tables
from web.field_view import FieldView, field_view
from web.guard import viewer
from web.order_rows import OrderRow, row_of
from web.pages import page
from web.plots import PLOTS_CSP, plot_data
from web.viewer import Viewer

router = APIRouter()

#: The section of an explanation that the chain of boxes draws, and the one shown beside a call.
EFFECT, ASIDES = "The effect", "Beside the call, and no part of it"
#: What is told of the whole line, which is not a grower's to read.
LINE = "The order"


@dataclass(frozen=True)
class FieldTop:
    """What stands first on the page."""

    row: OrderRow
    facts: tuple[str, ...]
    sensitive: str
    reasons: tuple[str, ...]
    to_do: str


@router.get("/fields/{field_id:path}", include_in_schema=False)
def field(
    request: Request, field_id: str, told: Annotated[Viewer, Depends(viewer)]
) -> HTMLResponse:
    """The page of one field."""
    desk: Desk = request.app.state.desk
    registered = desk.farm.fields.get(field_id)
    if registered is not None and not told.sees(registered):
        no_such_field()
    report = desk.mornings.latest()
    if report is None:
        return page(request, "no_morning.html")
    view = view_of(desk, report, field_id, told)
    if view is None:
        if registered is None:
            no_such_field()
        return page(request, "field_new.html", name=plain_line(registered.name))
    answer = page(request, "field.html", **_told(desk, view))
    answer.headers["content-security-policy"] = PLOTS_CSP
    return answer


def view_of(desk: Desk, report: MorningReport, field_id: str, told: Viewer) -> FieldView | None:
    """The field as the reader may see it; None where they see none by that id."""
    since = desk.mornings.since(report)
    return field_view(report, field_id, told, since, desk.farm.units)


def no_such_field() -> NoReturn:
    """The same for a field that is not there and for one that is another grower's."""
    raise HTTPException(404, "there is no such field here")


def _told(desk: Desk, view: FieldView) -> dict[str, Any]:
    """Everything the page lays out."""
    records = desk.fields.records(view.one.field.id)
    rules = desk.fields.rules(view.report, view.one.field.id)
    explained = _readable(desk.fields.explained(view.report, view.one), view)
    named = {section.title: section for section in explained}
    hours, course = hours_ahead(view), course_of(view, records.kept, rules)
    clock, units = view.clock, view.units
    return {
        "top": _top(view),
        "view": view,
        "made": clock.moment(view.report.run.made_utc),
        "hours": hours,
        "days": day_cards(hours, clock, units) if hours else (),
        "hour_rows": hour_rows(hours, clock, units) if hours else (),
        "chains": chains(view),
        "effect": named.get(EFFECT),
        "beside": beside(view),
        "nights": nights_ahead(view),
        "asides": named.get(ASIDES),
        "course": course,
        "records": _records(desk, view, records.kept),
        "damaged": len(records.damaged),
        "explained": explained,
        "hours_plot": plot_data(hours_plot(hours, clock, units), "hours-plot") if hours else "",
        "course_plot": plot_data(course_plot(course), "course-plot") if course.points else "",
    }


def _records(desk: Desk, view: FieldView, kept: Sequence[KeptRecord]) -> tuple[RecordTable, ...]:
    walked = [one.record.uuid for one in kept if one.kind == "visit"]
    photographed = desk.scouting.photographed(walked)
    return record_tables(view, kept, mixes_of(desk.farm), photographed, desk.clock())


def _top(view: FieldView) -> FieldTop:
    one = view.one
    facts = (plain_line(one.treatment_name), f"field {one.field.id}")
    return FieldTop(
        row=row_of(one, view.clock, view.gone, view.units),
        facts=tuple(fact for fact in facts if fact),
        sensitive=view.told(plain_line(one.field.sensitive or "")),
        reasons=sentences(one.reasons) if not view.gone else (),
        to_do=plain_line(one.to_do) if not view.gone else "",
    )


@dataclass(frozen=True)
class _Section:
    """A piece of an explanation, as the reader may read it."""

    title: str
    lines: tuple[str, ...]
    headers: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def _readable(explained: Sequence[ExplainedSection], view: FieldView) -> tuple[_Section, ...]:
    """The explanation, without what is not the reader's to know and without its last caution."""
    grower = view.viewer.role == "grower"
    return tuple(
        _Section(
            title="The call as it was made" if place == 0 else one.title,
            lines=tuple(view.told(line) for line in one.lines),
            headers=one.headers,
            rows=tuple(tuple(view.told(plain_line(cell)) for cell in row) for row in one.rows),
        )
        for place, one in enumerate(explained)
        if one.title and not (grower and one.title == LINE)
    )
