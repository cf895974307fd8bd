"""Taking a record back, within a day of its entry: a page that asks, and the deed."""

from typing import Annotated
from urllib.parse import quote
from uuid import UUID
from zoneinfo import ZoneInfo

from fastapi import APIRouter, Depends, Form, HTTPException, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from dispatch.words import LocalClock
from farm.field import Field
from farm.retraction import Kind
from notify.user_text import plain_line
from storage.take_back import short_id
from web.desk import Desk
from web.field_desk import KeptRecord, RecordRefusal
from web.field_records import UNDO_DEED, UNDO_FOR, Told, mixes_of, moment_words, record_words
from web.guard import FORM_KEY, viewer
from web.pages import page
from web.viewer import Viewer

router = APIRouter()

#: Longest reason taken, as a retraction holds it.
WHY_MAX = 500
#: What takes back a record that is too old for the button, by its kind.
COMMANDS: dict[Kind, str] = {
    "visit": "scout undo",
    "spray": "spray undo",
    "harvest": "harvest undo",
    "freeze": "freeze undo",
    "inspection": "freeze undo",
}

PATH = "/records/{kind}/{uuid}/undo"


@router.get(PATH, include_in_schema=False)
def ask(
    request: Request, kind: Kind, uuid: UUID, told: Annotated[Viewer, Depends(viewer)]
) -> HTMLResponse:
    """The page that asks; it changes nothing."""
    desk: Desk = request.app.state.desk
    kept, field = _theirs(desk, kind, uuid, told)
    clock = _clock(desk, field)
    words = record_words(kept, clock, Told(desk.farm.units, mixes_of(desk.farm)))
    done = kept.taken_back and moment_words(kept.taken_back.retracted_utc, clock)
    return page(
        request,
        "undo.html",
        name=plain_line(field.name),
        back=_field_path(field),
        words=words,
        kind=kind,
        note=plain_line(kept.record.note),
        done=done,
        late=_late(desk, kept),
        why_max=WHY_MAX,
    )


@router.post(PATH, include_in_schema=False)
def take_back(
    request: Request,
    kind: Kind,
    uuid: UUID,
    told: Annotated[Viewer, Depends(viewer)],
    form_key: Annotated[str, Form(alias=FORM_KEY)],
    why: Annotated[str, Form(max_length=WHY_MAX)] = "",
) -> Response:
    """Take it back, once; pressed again, it leads to the same page and changes nothing."""
    desk: Desk = request.app.state.desk
    kept, field = _theirs(desk, kind, uuid, told)
    late = _late(desk, kept)
    if kept.taken_back is None:
        if late:
            raise HTTPException(409, late)
        try:
            desk.fields.take_back(kind, uuid, told.name, plain_line(why))
        except RecordRefusal as fault:
            raise HTTPException(409, str(fault)) from fault
    return RedirectResponse(f"{_field_path(field)}#records", status_code=303)


def _theirs(desk: Desk, kind: Kind, uuid: UUID, told: Viewer) -> tuple[KeptRecord, Field]:
    """A record the reader may see and take back."""
    kept = desk.fields.record(kind, uuid)
    field = None if kept is None else desk.farm.fields.get(kept.record.field_id)
    if kept is None or field is None or not told.sees(field):
        raise HTTPException(404, "there is no such record here")
    if not told.may(UNDO_DEED[kind]):
        raise HTTPException(403, f"not yours to do, as {told.role}")
    return kept, field


def _late(desk: Desk, kept: KeptRecord) -> str:
    """Why a record is too old for the button; "" while it is not."""
    if desk.clock() - kept.entered_utc <= UNDO_FOR:
        return ""
    command = f"warmspell {COMMANDS[kept.kind]} {short_id(kept.record.uuid)}"
    return f"it was entered more than a day ago; take it back with {command}"


def _clock(desk: Desk, field: Field) -> LocalClock:
    today = desk.clock().astimezone(ZoneInfo(field.time_zone)).date()
    return LocalClock(field.time_zone, desk.farm.time_zone, today)


def _field_path(field: Field) -> str:
    return f"/fields/{quote(field.id)}"
