"""The board for programs: JSON of what its pages show, described by OpenAPI."""

from functools import cache
from typing import Annotated, Any

from fastapi import APIRouter, Depends, HTTPException, Query, Request
from fastapi.openapi.utils import get_openapi
from fastapi.responses import HTMLResponse, JSONResponse, Response

from web import api_shapes as shapes
from web.api_answers import Told, after_answer, health_answer, order_answer, rigs_answer
from web.desk import Desk
from web.exports import router as exports
from web.guard import viewer
from web.pages import page
from web.rigs_desk import RigsRefusal
from web.viewer import Viewer

Reader = Annotated[Viewer, Depends(viewer)]

#: Most fields of one answer.
MOST = 500

_PROBLEMS: dict[int | str, dict[str, Any]] = {
    401: {"model": shapes.Problem, "description": "Nobody is logged in."},
    422: {"model": shapes.Problem, "description": "What was asked does not fit."},
}
_NOT_FOUND: dict[int | str, dict[str, Any]] = {
    404: {"model": shapes.Problem, "description": "No such field, or not one to know of."}
}
_DAMAGED: dict[int | str, dict[str, Any]] = {
    503: {"model": shapes.Problem, "description": "The plan kept cannot be read."}
}

answers = APIRouter(responses=_PROBLEMS)
router = APIRouter()


@answers.get("/api/order", response_model=shapes.OrderAnswer, summary="The order")
def order(
    request: Request,
    reader: Reader,
    first: Annotated[int, Query(ge=0, le=100_000, description="The first field told, from 0")] = 0,
    count: Annotated[int, Query(ge=1, le=MOST, description="How many fields are told")] = 100,
) -> Response:
    """Every field's call in the order of the morning, as it stands now."""
    told = _told(request, reader)
    if told is None:
        return _json(_no_order(request.app.state.desk, first))
    return _json(order_answer(told, first, count))


@answers.get(
    "/api/fields/{field_id}",
    response_model=shapes.FieldAnswer,
    responses=_NOT_FOUND,
    summary="One field",
)
def field(request: Request, reader: Reader, field_id: str) -> Response:
    """One field's call and the figures behind it."""
    told = _told(request, reader)
    found = [one for one in told.report.fields if one.field.id == field_id] if told else []
    if told is None or not found:
        raise HTTPException(404, "no such field")
    return _json(told.field(found[0]))


@answers.get("/api/rigs", response_model=shapes.RigsAnswer, responses=_DAMAGED, summary="The rigs")
def rigs(request: Request, reader: Reader) -> Response:
    """The stops of the rigs in the plan kept last, and the fields no rig comes to."""
    told, desk = _told(request, reader), request.app.state.desk
    try:
        plan = desk.rigs.latest()
    except RigsRefusal as fault:
        raise HTTPException(503, str(fault)) from None
    if told is None or plan is None:
        empty = shapes.RigsAnswer(
            revision=None,
            made_utc=None,
            morning_utc=None,
            of_newest_morning=False,
            stops=(),
            left_out=(),
        )
        return _json(empty)
    return _json(rigs_answer(told, plan))


@answers.get("/api/after", response_model=shapes.AfterAnswer, summary="Beside the order")
def after(request: Request, reader: Reader) -> Response:
    """Fields that were sprayed, frozen or picked, and what to look at."""
    told = _told(request, reader)
    if told is None:
        return _json(shapes.AfterAnswer(made_utc=None, sprayed=(), frozen=(), picked=()))
    return _json(after_answer(told))


@answers.get("/api/health", response_model=shapes.HealthAnswer, summary="Morning and forecasts")
def health(request: Request, reader: Reader) -> Response:
    """Whether there is a morning of today, and how old its forecasts are by now."""
    told = _told(request, reader)
    if told is not None:
        return _json(health_answer(told))
    none = shapes.HealthAnswer(
        now_utc=request.app.state.desk.clock(),
        made_utc=None,
        local_date=None,
        of_today=False,
        late=False,
        fields=0,
        not_known=0,
        overtaken=0,
        sources=(),
    )
    return _json(none)


@router.get("/api/openapi.json", include_in_schema=False)
def openapi(_: Reader) -> JSONResponse:
    """The description for programs."""
    return JSONResponse(description())


@router.get("/api", include_in_schema=False)
def api_page(request: Request, _: Reader) -> HTMLResponse:
    """The same to read, and the files to take along."""
    ways = [
        (path, told["get"]["summary"], told["get"].get("description", ""))
        for path, told in description()["paths"].items()
    ]
    return page(
        request,
        "api.html",
        files=[one for one in ways if one[0].startswith("/export/")],
        asked=asked_of(ways),
    )


def asked_of(every: list[tuple[str, str, str]]) -> list[tuple[str, str, str, bool]]:
    """Addresses that answer with JSON, and whether each can be opened as it stands."""
    return [
        (path, summary, words, "{" not in path)
        for path, summary, words in every
        if path.startswith("/api/")
    ]


@cache
def description() -> dict[str, Any]:
    """OpenAPI of what programs may ask; pages and forms are not among it."""
    told = get_openapi(
        title="warmspell board",
        version="1",
        description=(
            "Figures of the board's pages, cut to what whoever asks may see. Times are UTC; what "
            "is not known is null. A call that does not stand any more is never told as one to "
            "spray. The label is the law; a licensed applicator decides."
        ),
        routes=[*answers.routes, *exports.routes],
    )
    schemes = {"session": {"type": "apiKey", "in": "cookie", "name": "__Host-warmspell"}}
    told.setdefault("components", {})["securitySchemes"] = schemes
    told["security"] = [{"session": []}]
    return told


def _told(request: Request, reader: Viewer) -> Told | None:
    desk: Desk = request.app.state.desk
    report = desk.mornings.latest()
    return None if report is None else Told(desk, report, reader)


def _no_order(desk: Desk, first: int) -> shapes.OrderAnswer:
    return shapes.OrderAnswer(
        farm=desk.farm.name,
        made_utc=None,
        local_date=None,
        of_today=False,
        late=False,
        stop="",
        queue_days=None,
        counts={},
        total=0,
        first=first,
        fields=(),
    )


def _json(answer: shapes.Answer) -> Response:
    # Written by the model itself: a number that is not finite becomes null.
    return Response(answer.model_dump_json(), media_type="application/json")


router.include_router(answers)
router.include_router(exports)
