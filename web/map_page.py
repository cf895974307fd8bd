"""The map: where the due fields lie, and where the rigs go."""

from dataclasses import dataclass
from datetime import date
from typing import Annotated
from urllib.parse import urlsplit

from fastapi import APIRouter, Depends, Request
from fastapi.responses import HTMLResponse
from markupsafe import Markup

from dispatch.report import MorningReport
from web.desk import Desk
from web.guard import viewer
from web.kept import KeptByPlan
from web.map_drawing import MapContent, Shade, draw_map
from web.map_shapes import STEPS, MapPoint, MapWay, gates, map_fields, ways, yards
from web.order_rows import overtaken
from web.pages import page, templates
from web.plots import PLOTS_CSP, plot_data
from web.rig_standing import older_than_morning, plan_clock
from web.rigs_desk import RigsRefusal
from web.settings import BoardSettings
from web.still_map import still_map
from web.viewer import Viewer

router = APIRouter()

#: What the fills tell: the class of each, and its words.
LEGENDS: dict[Shade, tuple[tuple[str, str], ...]] = {
    "call": (
        ("of-spray", "spray, with its place"),
        ("of-short", "short, with its place"),
        ("of-look", "walk"),
        ("of-wait", "wait"),
        ("of-unknown", "not known"),
        ("of-beside", "sprayed, frozen or picked"),
        ("of-gone", "call overtaken"),
    ),
    "effect": (
        *((f"step-{one}", f"{round(one * 100 / STEPS)} or more") for one in range(STEPS)),
        ("of-unknown", "not known, or call overtaken"),
    ),
}
#: Asks for the map without the ways of rigs.
NO_RIGS = "none"


@dataclass(frozen=True)
class _Rigs:
    """What a map shows of the rigs: the day chosen, those there are, and what is wrong."""

    on: date | None = None
    days: tuple[date, ...] = ()
    ways: tuple[MapWay, ...] = ()
    yards: tuple[MapPoint, ...] = ()
    problem: str = ""


@dataclass(frozen=True)
class _Drawn:
    """A map drawn, to move about and still."""

    plot: Markup
    still: Markup


#: Maps of the last plan, by what they show: those of 5,000 fields are 4 MB each.
_maps: KeptByPlan[_Drawn] = KeptByPlan(most=12)


@router.get("/map", include_in_schema=False)
def field_map(
    request: Request,
    told: Annotated[Viewer, Depends(viewer)],
    shade: Shade = "call",
    rigs: str = "",
) -> HTMLResponse:
    """The map of all fields a reader may see."""
    desk, settings = request.app.state.desk, request.app.state.settings
    report = desk.mornings.latest()
    if report is None:
        return page(request, "no_morning.html")
    seen, since = told.seen(report), desk.mornings.since(report)
    gone = frozenset(one.field.id for one in seen.fields if overtaken(one, since))
    driven = _Rigs() if told.role == "grower" else _rigs(desk, report, rigs)
    points = (*gates([one.field for one in seen.fields]), *driven.yards)

    def draw() -> _Drawn:
        shown = MapContent(map_fields(seen.fields, gone, desk.farm.units), driven.ways, points)
        return _draw(shown, shade, settings)

    asked = (told.role == "grower", told.grower_ids, gone, shade, settings.tiles, driven)
    drawn = _maps.of(report, asked, draw)
    answer = page(
        request,
        "map.html",
        plot=drawn.plot,
        still=drawn.still,
        shade=shade,
        legend=LEGENDS[shade],
        rigs=driven,
        chosen=driven.on.isoformat() if driven.on else NO_RIGS,
        run=seen.run,
        kinds={one.kind for one in points},
        credit=settings.tiles_credit if settings.tiles else "",
    )
    answer.headers["content-security-policy"] = map_csp(settings.tiles)
    return answer


def _draw(shown: MapContent, shade: Shade, settings: BoardSettings) -> _Drawn:
    moving = draw_map(shown, shade, settings.tiles, settings.tiles_credit)
    still = still_map(shown, shade)
    text = templates().get_template("still_map.html").render(still=still) if still else ""
    # Made by a template that escapes all it is given.
    return _Drawn(plot_data(moving, "map"), Markup(text))


def map_csp(tiles: str | None) -> str:
    """What a map may load: with a base map its host's pictures, and nothing else of anybody."""
    if not tiles:
        return PLOTS_CSP
    told = urlsplit(tiles)
    return PLOTS_CSP.replace("img-src 'self'", f"img-src 'self' https://{told.netloc}")


def _rigs(desk: Desk, report: MorningReport, asked: str) -> _Rigs:
    try:
        plan = desk.rigs.latest()
    except RigsRefusal as fault:
        return _Rigs(problem=str(fault))
    if plan is None:
        return _Rigs()
    clock = plan_clock(plan, report, desk.clock())
    days = tuple(sorted({one.on for one in plan.days if one.on >= clock.today}))
    facts = desk.rigs.facts(report)
    if asked == NO_RIGS or not days:
        return _Rigs(None, days, (), tuple(yards(facts)))
    on = next((one for one in days if one.isoformat() == asked), days[0])
    return _Rigs(
        *(on, days, tuple(ways(plan, facts, on, clock)), tuple(yards(facts))),
        problem=older_than_morning(plan, report, clock),
    )
