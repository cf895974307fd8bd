"""Files to take along: CSV that no spreadsheet runs, and GeoJSON. Each as its reader may see it."""

import json
from collections.abc import Iterator
from datetime import date
from itertools import pairwise
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response

from dispatch.report import FieldCall
from web.api_answers import Told
from web.api_shapes import Problem
from web.desk import Desk
from web.guard import viewer
from web.viewer import Viewer

Reader = Annotated[Viewer, Depends(viewer)]


def _file(kind: str, of: str) -> dict[int | str, dict[str, Any]]:
    return {
        200: {"content": {kind: {"schema": {"type": of}}}, "description": "The file."},
        401: {"model": Problem, "description": "Nobody is logged in."},
    }


_A_CSV = _file("text/csv", "string")
#: What a field's feature tells, besides its first window.
PROPERTIES = (
    *("field_id", "name", "grower", "acres", "call", "overtaken", "standing", "rank"),
    *("effect_pct", "spray_by_utc", "wait_until"),
)
CSV, GEOJSON = "text/csv; charset=utf-8", "application/geo+json"

router = APIRouter(default_response_class=Response)


@router.get("/export/order.csv", responses=_A_CSV, summary="The order as CSV")
def order_csv(request: Request, reader: Reader) -> Response:
    """Every field's call in the order of the morning, as it stands now."""
    desk: Desk = request.app.state.desk
    report = desk.mornings.latest()
    if report is None:
        return _sent("", CSV, "order", None, "csv")
    told = Told(desk, report, reader)
    text = desk.outside.order_csv(told.report, told.gone)
    return _sent(text, CSV, "order", report.run.local_date, "csv")


@router.get("/export/visits.csv", responses=_A_CSV, summary="Visits as CSV")
def visits_csv(request: Request, reader: Reader) -> Response:
    """Every visit that stands, newest first, in columns that can be brought in again."""
    desk: Desk = request.app.state.desk
    text = desk.outside.visits_csv(desk.mornings.latest(), _growers(reader))
    return _sent(text, CSV, "visits", None, "csv")


@router.get("/export/sprays.csv", responses=_A_CSV, summary="Sprays as CSV")
def sprays_csv(request: Request, reader: Reader) -> Response:
    """Every spray that stands, newest first, with earliest re-entry and harvest by the label."""
    desk: Desk = request.app.state.desk
    text = desk.outside.sprays_csv(desk.mornings.latest(), _growers(reader))
    return _sent(text, CSV, "sprays", None, "csv")


@router.get(
    "/export/fields.geojson",
    responses=_file(GEOJSON, "object"),
    summary="Fields as GeoJSON",
)
def fields_geojson(request: Request, reader: Reader) -> Response:
    """Outlines of the fields, or their points, with their calls as they stand now."""
    desk: Desk = request.app.state.desk
    report = desk.mornings.latest()
    features: list[dict[str, Any]] = []
    if report is not None:
        told = Told(desk, report, reader)
        features = [_feature(told, one) for one in told.report.fields]
    collection = {"type": "FeatureCollection", "features": features}
    text = json.dumps(collection, ensure_ascii=False, allow_nan=False)
    on = report.run.local_date if report else None
    return _sent(text, GEOJSON, "fields", on, "geojson")


def _feature(told: Told, one: FieldCall) -> dict[str, Any]:
    figures = json.loads(told.field(one).model_dump_json())
    windows = figures["windows"]
    return {
        "type": "Feature",
        "geometry": _geometry(one),
        "properties": {name: figures[name] for name in PROPERTIES}
        | {"first_window_utc": windows[0]["start_utc"] if windows else None},
    }


def _geometry(one: FieldCall) -> dict[str, Any]:
    """RFC 7946: longitude first, the ring closed and against the clock."""
    if one.field.outline is None:
        return {"type": "Point", "coordinates": [one.field.longitude, one.field.latitude]}
    ring = [list(place) for place in one.field.outline]
    if ring[0] != ring[-1]:
        ring.append(ring[0])
    if sum(_turns(ring)) < 0:
        ring.reverse()
    return {"type": "Polygon", "coordinates": [ring]}


def _turns(ring: list[list[float]]) -> Iterator[float]:
    for (x, y), (next_x, next_y) in pairwise(ring):
        yield x * next_y - next_x * y


def _growers(reader: Viewer) -> frozenset[str] | None:
    return reader.grower_ids if reader.role == "grower" else None


def _sent(text: str, kind: str, name: str, on: date | None, ending: str) -> Response:
    called = f"{name}-{on.isoformat()}.{ending}" if on else f"{name}.{ending}"
    head = {"content-disposition": f'attachment; filename="{called}"'}
    return Response(text, media_type=kind, headers=head)
