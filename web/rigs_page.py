"""The plan of rigs: who drives where and when, what is left undone, and what drivers report."""

from collections.abc import Callable, Sequence
from datetime import date
from typing import Annotated, Any, Literal
from urllib.parse import quote

from fastapi import APIRouter, Depends, Form, HTTPException, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from dispatch.report import MorningReport
from dispatch.routes.calendar import CAUTION
from dispatch.routes.plan import RoutePlan
from notify.render import as_sheets
from notify.rig_sheet import rig_sheet
from notify.route_words import (
    CHANGE_HEADERS,
    IF_HEADERS,
    LEFT_HEADERS,
    change_rows,
    totals,
    what_if_rows,
)
from notify.user_text import plain_line
from web.desk import Desk
from web.guard import may, viewer
from web.own_stops import own_stops
from web.pages import page
from web.plots import PLOTS_CSP
from web.rig_rows import PlanView, changed_since, left_out_rows, rig_dates
from web.rig_standing import older_than_morning, plan_clock
from web.rigs_desk import RigDesk, RigsRefusal
from web.viewer import Viewer

router = APIRouter()

Reader = Annotated[Viewer, Depends(viewer)]
Planner = Annotated[Viewer, Depends(may("rigs"))]
Deed = Literal["done", "skip", "missed", "put_back", "lock", "unlock"]
ShortText = Annotated[str, Form(max_length=200)]

#: What can be reported of a stop: the word of its button.
DEEDS: dict[Deed, str] = {
    "done": "Sprayed",
    "skip": "Skip",
    "missed": "Not sprayed",
    "put_back": "Put back",
    "lock": "Lock",
    "unlock": "Unlock",
}


@router.get("/rigs", include_in_schema=False)
def rigs(request: Request, told: Reader, rig: str = "") -> HTMLResponse:
    """The plan kept last, of all rigs or of one."""
    return _page(request, told, rig)


@router.post("/rigs/plan", include_in_schema=False)
def plan_now(request: Request, told: Planner, form_key: ShortText = "") -> Response:
    """Plan the rigs from now on."""

    def planned(desk: RigDesk) -> None:
        desk.plan(_report(request))

    return _done(request, told, planned, "/rigs")


@router.post("/rigs/compare", include_in_schema=False)
def compare(
    request: Request,
    told: Planner,
    rigs: Annotated[int, Form(ge=1, le=500)],
    form_key: ShortText = "",
) -> HTMLResponse:
    """What so many rigs would reach. Nothing is kept: it is sent only since it takes a while."""
    desk: Desk = request.app.state.desk
    try:
        rows = desk.rigs.compare(_report(request), rigs)
    except RigsRefusal as fault:
        return _page(request, told, "", problem=str(fault))
    return _page(request, told, "", what_if=what_if_rows(rows))


@router.post("/rigs/stop", include_in_schema=False)
def report_stop(
    request: Request,
    told: Planner,
    deed: Annotated[Deed, Form()],
    field_id: Annotated[str, Form(max_length=64)],
    revision: Annotated[int, Form(ge=0)] = 0,
    when: Annotated[str, Form(pattern=r"^([01]\d:[0-5]\d|2[0-3]:[0-5]\d)?$")] = "",
    who: Annotated[str, Form(max_length=80)] = "",
    why: ShortText = "",
    rig: Annotated[str, Form(max_length=64)] = "",
    form_key: ShortText = "",
) -> Response:
    """Keep what is reported of a stop."""
    deeds: dict[Deed, Callable[[RigDesk], None]] = {
        "done": lambda desk: desk.done(field_id, when, plain_line(who)),
        "skip": lambda desk: desk.skip(field_id, plain_line(why)),
        "missed": lambda desk: desk.missed(field_id, plain_line(why)),
        "put_back": lambda desk: desk.missed(field_id, ""),
        "lock": lambda desk: desk.lock(field_id, revision, locked=True),
        "unlock": lambda desk: desk.lock(field_id, revision, locked=False),
    }
    back = f"/rigs?rig={quote(rig, safe='')}" if rig else "/rigs"
    return _done(request, told, deeds[deed], f"{back}#stop-{quote(field_id, safe='')}")


@router.get("/rigs/{rig_id}/{on}/sheet", include_in_schema=False)
def sheet(request: Request, told: Reader, rig_id: str, on: date) -> HTMLResponse:
    """One rig's day, to print."""
    desk: Desk = request.app.state.desk
    if told.role == "grower":
        raise HTTPException(404, "no such sheet")
    report, plan = _report(request), _kept(desk)
    days = plan.days if plan else ()
    day = next((one for one in days if (one.rig_id, one.on) == (rig_id, on)), None)
    if plan is None or day is None:
        raise HTTPException(404, "no such sheet")
    told_sheet = rig_sheet(
        plan, day, desk.rigs.facts(report), plan_clock(plan, report, desk.clock())
    )
    text = as_sheets([told_sheet], f"{told_sheet.day}: {told_sheet.rig}")
    # A sheet carries its own styles, and no script.
    headers = {"content-security-policy": PLOTS_CSP.replace("script-src 'self'; ", "")}
    return HTMLResponse(text, headers=headers)


def _page(
    request: Request,
    told: Viewer,
    rig: str,
    *,
    problem: str = "",
    what_if: Sequence[tuple[str, ...]] = (),
) -> HTMLResponse:
    """The page of the rigs; ``problem`` says what was asked for and not done."""
    desk: Desk = request.app.state.desk
    report = desk.mornings.latest()
    if report is None:
        return page(request, "no_morning.html")
    status = 409 if problem else 200
    try:
        plan = desk.rigs.latest()
    except RigsRefusal as fault:
        plan, problem = None, problem or str(fault)
    if plan is None:
        return page(request, "rigs.html", status, problem=problem, view=None, what_if=what_if)
    view = PlanView(
        plan=plan,
        report=told.seen(report),
        since=desk.mornings.since(report),
        facts=desk.rigs.facts(report),
        clock=plan_clock(plan, report, desk.clock()),
        now=desk.clock(),
        units=desk.farm.units,
    )
    if told.role == "grower":
        return page(request, "own_stops.html", stops=own_stops(view), clock=view.clock)
    return page(
        request,
        "rigs.html",
        status,
        problem=problem,
        what_if=what_if,
        view=view,
        **_told(view, rig),
    )


def _told(view: PlanView, rig: str) -> dict[str, Any]:
    plan, clock = view.plan, view.clock
    rigs = {one.rig_id: plain_line(one.rig_name) for one in plan.days}
    rig = rig if rig in rigs else ""
    dates = rig_dates(view, rig)
    return {
        "dates": dates,
        "rigs": rigs,
        "mine": rig,
        "stale": older_than_morning(plan, view.report, clock),
        "changed": changed_since(dates),
        "made": clock.moment(plan.made_utc or plan.start_utc),
        "totals": totals(plan),
        "left_headers": LEFT_HEADERS,
        "left": left_out_rows(view),
        "change_headers": CHANGE_HEADERS,
        "changes": change_rows(plan, clock),
        "if_headers": IF_HEADERS,
        "deed_words": DEEDS,
        "caution": CAUTION,
    }


def _done(request: Request, told: Viewer, deed: Callable[[RigDesk], None], to: str) -> Response:
    try:
        deed(request.app.state.desk.rigs)
    except RigsRefusal as fault:
        return _page(request, told, "", problem=str(fault))
    return RedirectResponse(to, status_code=303)


def _report(request: Request) -> MorningReport:
    report: MorningReport | None = request.app.state.desk.mornings.latest()
    if report is None:
        raise HTTPException(404, "no morning has been run yet")
    return report


def _kept(desk: Desk) -> RoutePlan | None:
    try:
        return desk.rigs.latest()
    except RigsRefusal:
        return None
