"""The map: where the due fields lie."""

from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import HTMLResponse

from web.guard import viewer
from web.map_drawing import Shade, draw_map
from web.order_rows import overtaken
from web.pages import page
from web.plots import PLOTS_CSP, plot_data
from web.viewer import Viewer

router = APIRouter()


@router.get("/map", include_in_schema=False)
def field_map(
    request: Request, told: Annotated[Viewer, Depends(viewer)], shade: Shade = "call"
) -> HTMLResponse:
    """The map of all fields a reader may see."""
    mornings, settings = request.app.state.desk.mornings, request.app.state.settings
    report = mornings.latest()
    if report is None:
        return page(request, "no_morning.html")
    seen, since = told.seen(report), mornings.since(report)
    gone = frozenset(one.field.id for one in seen.fields if overtaken(one, since))
    drawn = draw_map(seen.fields, gone, shade, settings.tiles, settings.tiles_credit)
    answer = page(
        request,
        "map.html",
        plot=plot_data(drawn, "map"),
        shade=shade,
        fields=seen.fields,
        run=seen.run,
    )
    answer.headers["content-security-policy"] = PLOTS_CSP
    return answer
