"""Scouting on a phone: which fields to walk, and the form of a visit."""

from typing import Annotated
from uuid import UUID, uuid4
from zoneinfo import ZoneInfo

from fastapi import APIRouter, Depends, HTTPException, Query, Request
from fastapi.responses import HTMLResponse, Response

from dispatch.words import LocalClock, day
from farm.field import Field
from web.desk import Desk
from web.guard import may, viewer
from web.pages import page
from web.scout_form import NODES, STAGE_WORDS, STAGES, counting_words
from web.scout_rows import row_of_call, row_of_field, walk_list
from web.scout_worker import version
from web.viewer import Viewer

router = APIRouter()

MayScout = Annotated[Viewer, Depends(may("scout"))]

#: Said wherever bolls are cut.
KNIFE = "Sharp knife, away from your hand, boll on something firm."
_NO_SUCH = "there is no such field here"


@router.get("/scout", include_in_schema=False)
def fields_to_walk(
    request: Request, told: MayScout, kept: Annotated[str, Query(max_length=64)] = ""
) -> HTMLResponse:
    """Fields to walk, most gain first; ``kept`` is the field of a visit that was kept just now."""
    desk: Desk = request.app.state.desk
    report, (made, of_today) = desk.mornings.latest(), _made(desk)
    just = desk.farm.fields.get(kept)
    return _page(
        request,
        told,
        "scout.html",
        walks=walk_list(desk, told, report),
        made=made,
        of_today=of_today,
        kept=row_of_field(desk, just).name if just and told.sees(just) else "",
    )


@router.get("/scout-any", include_in_schema=False)
def any_field(request: Request, told: MayScout) -> HTMLResponse:
    """The form for a field that is chosen in it: what a phone without signal falls back on."""
    return form_page(request, told, None)


@router.get("/scout/{field_id}", include_in_schema=False)
def one_field(request: Request, told: MayScout, field_id: str) -> HTMLResponse:
    """The form for one field."""
    return form_page(request, told, field_of(request, told, field_id))


@router.get("/photos/{field_id}/{uuid}", include_in_schema=False)
def photo(
    request: Request, told: Annotated[Viewer, Depends(viewer)], field_id: str, uuid: UUID
) -> Response:
    """The photo of a visit, for those who may see the field."""
    field = field_of(request, told, field_id)
    taken = request.app.state.desk.scouting.photo(field.id, uuid)
    if taken is None:
        raise HTTPException(404, _NO_SUCH)
    return Response(taken, media_type="image/jpeg")


def field_of(request: Request, told: Viewer, field_id: str) -> Field:
    """A field that a reader may see; another's is as unknown as one that there is not."""
    field: Field | None = request.app.state.desk.farm.fields.get(field_id)
    if field is None or not told.sees(field):
        raise HTTPException(404, _NO_SUCH)
    return field


def form_page(
    request: Request,
    told: Viewer,
    field: Field | None,
    texts: dict[str, str] | None = None,
    problems: dict[str, str] | None = None,
) -> HTMLResponse:
    """The form, with what was typed and what is wrong with it; any field's where it has none."""
    desk: Desk = request.app.state.desk
    return _page(
        request,
        told,
        "scout_form.html",
        422 if problems else 200,
        row=_row(desk, told, field) if field else None,
        any_rows=[] if field else _all_rows(desk, told),
        texts=texts or {"uuid": str(uuid4()), "observed": _now_there(desk, field)},
        problems=problems or {},
        names_scout=request.app.state.accounts is None,
        nacb_max=desk.scouting.nacb_max(field.id) if field else None,
        counting=counting_words(),
        made=_made(desk)[0],
        stages=STAGES,
        stage_words=STAGE_WORDS,
        nodes=NODES,
        knife=KNIFE,
    )


def _page(
    request: Request, told: Viewer, template: str, status: int = 200, **more: object
) -> HTMLResponse:
    return page(request, template, status, version=version(), by=told.name, **more)


def _row(desk: Desk, told: Viewer, field: Field) -> object:
    report = desk.mornings.latest()
    called = told.seen(report).fields if report else ()
    one = next((one for one in called if one.field.id == field.id), None)
    return row_of_call(desk, one) if one else row_of_field(desk, field)


def _all_rows(desk: Desk, told: Viewer) -> list[tuple[object, float]]:
    seen = sorted((one for one in desk.farm.fields.values() if told.sees(one)), key=_by_name)
    return [(row_of_field(desk, one), desk.scouting.nacb_max(one.id)) for one in seen]


def _by_name(one: Field) -> tuple[str, str]:
    return one.name.casefold(), one.id


def _now_there(desk: Desk, field: Field | None) -> str:
    zone = ZoneInfo(field.time_zone if field else desk.farm.time_zone)
    return desk.clock().astimezone(zone).strftime("%Y-%m-%dT%H:%M")


def _made(desk: Desk) -> tuple[str, bool]:
    """When the plan was made that a page rests on, "" without one, and whether that is today."""
    report = desk.mornings.latest()
    if report is None:
        return "", True
    run = report.run
    clock = LocalClock(run.time_zone, run.time_zone, run.local_date)
    today = clock.local(desk.clock()).date()
    return f"{day(run.local_date)}, {clock.hour(run.made_utc)}", today == run.local_date
