"""Visits as they come in, from a form or out of the queue of a phone."""

import base64
import binascii
from typing import Annotated

from fastapi import APIRouter, Depends, Form, Request
from fastapi.responses import JSONResponse, RedirectResponse, Response

from web.desk import Desk
from web.guard import may
from web.scout_desk import KeptVisit, VisitRefusal
from web.scout_form import PlainForm, SentVisit
from web.scout_page import field_of, form_page
from web.viewer import Viewer

router = APIRouter()

MayScout = Annotated[Viewer, Depends(may("scout"))]


@router.get("/scout-who", include_in_schema=False)
def who(request: Request, told: MayScout) -> dict[str, str]:
    """Who is in, the key of their forms, and the time: what a queue asks before it sends."""
    now = request.app.state.desk.clock()
    return {"name": told.name, "form_key": told.form_key, "now_utc": now.isoformat()}


@router.post("/scout", include_in_schema=False)
def take_form(request: Request, told: MayScout, sent: Annotated[PlainForm, Form()]) -> Response:
    """A visit from a browser without scripts."""
    texts = sent.texts()
    try:
        kept = _kept(request, told, texts, None)
    except VisitRefusal as refusal:
        fields = request.app.state.desk.farm.fields
        field = field_of(request, told, sent.field_id) if sent.field_id in fields else None
        return form_page(request, told, field, texts, dict(reversed(refusal.problems)))
    return RedirectResponse(f"/scout?kept={kept.field_id}", status_code=303)


@router.post("/scout/visits", include_in_schema=False)
def take_visit(request: Request, told: MayScout, sent: SentVisit) -> JSONResponse:
    """A visit out of the queue of a phone. Once it is answered for, it is on the disk."""
    try:
        if not sent.uuid:
            raise VisitRefusal([("uuid", "got nothing, wanted a UUID of this visit's own")])
        kept = _kept(request, told, sent.texts(), _photo(sent.photo))
    except VisitRefusal as refusal:
        problems = [{"column": column, "problem": problem} for column, problem in refusal.problems]
        return JSONResponse({"uuid": sent.uuid, "problems": problems}, status_code=422)
    return JSONResponse({"uuid": str(kept.uuid), "state": kept.state, "said": list(kept.said)})


def _kept(request: Request, told: Viewer, texts: dict[str, str], photo: bytes | None) -> KeptVisit:
    """Keep a visit to a field they may see, under the name of their account."""
    desk: Desk = request.app.state.desk
    field = desk.farm.fields.get(texts["field_id"])
    if field is not None and not told.sees(field):
        texts = texts | {"field_id": ""}
    # The one person at this machine has no account; they may say who looked.
    by = texts["scout"] if request.app.state.accounts is None else told.name
    return desk.scouting.add(texts, by, photo)


def _photo(text: str) -> bytes | None:
    if not text:
        return None
    try:
        return base64.b64decode(text, validate=True)
    except binascii.Error:
        raise VisitRefusal([("photo", "got no picture in base64; take another")]) from None
