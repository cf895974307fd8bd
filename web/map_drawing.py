"""Fields and ways of rigs as a map that can be moved about."""

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from typing import Literal

from bokeh.models import ColumnDataSource, HoverTool, OpenURL, TapTool, WMTSTileSource
from bokeh.plotting import figure

from web.map_shapes import MapField, MapPoint, MapWay
from web.plots import DEEP, INK, MID, PALE, PAPER, SOFT

Shade = Literal["call", "effect"]

#: How each call is filled: colour, hatch, and width of the outline [px].
LOOKS: dict[str, tuple[str, str, int]] = {
    "spray": (DEEP, " ", 1),
    "short": (MID, "/", 1),
    "look": (PALE, ".", 1),
    "wait": (PAPER, " ", 1),
    "beside": (PAPER, "-", 1),
    "unknown": (PAPER, "x", 3),
    "gone": (PAPER, "x", 1),
}
#: Between the second and the third step of the hue; `static/plots.js` has its dark one.
BETWEEN = "#b6b2e1"
#: Fills of an effect, from the least to the most.
FILLS = (PAPER, PALE, BETWEEN, MID, SOFT, DEEP)
#: Shape and size of gates and yards [px].
MARKERS = {"gate": ("diamond", 9), "yard": ("square_pin", 16)}


@dataclass(frozen=True)
class MapContent:
    """All that stands on a map."""

    fields: Sequence[MapField]
    ways: Sequence[MapWay] = ()
    points: Sequence[MapPoint] = ()


def draw_map(shown: MapContent, shade: Shade, tiles: str | None, credit: str) -> figure:
    """The map: one patch a field, one line a rig's day.

    Parameters
    ----------
    shown
        What stands on it.
    shade
        What the fill tells.
    tiles, credit
        Address of a base map's tiles, None for none, and what their maker wants said.
    """
    drawn = figure(
        x_axis_type="mercator",
        y_axis_type="mercator",
        match_aspect=True,
        sizing_mode="stretch_width",
        height=520,
        tools="pan,wheel_zoom,box_zoom,reset",
        toolbar_location="above",
        output_backend="canvas",
        outline_line_color=MID,
    )
    # The page shows through, light or dark.
    drawn.background_fill_alpha = drawn.border_fill_alpha = 0
    if tiles:
        # The library takes what it is given for HTML.
        drawn.add_tile(WMTSTileSource(url=tiles, attribution=escape(credit)))
    _draw_fields(drawn, shown.fields, shade)
    _draw_ways(drawn, shown.ways)
    _draw_points(drawn, shown.points)
    _write_places(drawn, shown.fields)
    drawn.grid.visible = False
    drawn.axis.visible = False
    drawn.toolbar.logo = None
    return drawn


def _draw_fields(drawn: figure, fields: Sequence[MapField], shade: Shade) -> None:
    rows = [_row(one, shade) for one in fields]
    names: tuple[str, ...] = ("xs", "ys", "id", "name", "call", "size", "effect", "fill", "hatch")
    names = (*names, "stroke", "width")
    source = ColumnDataSource({name: [one[name] for one in rows] for name in names})
    patches = drawn.patches(
        "xs",
        "ys",
        source=source,
        fill_color="fill",
        hatch_pattern="hatch",
        hatch_color="stroke",
        hatch_scale=7.0,
        line_color=INK,
        line_width="width",
        nonselection_alpha=1.0,
    )
    words = [("", "@name"), ("call", "@call"), ("size", "@size"), ("effect", "@effect")]
    drawn.add_tools(
        HoverTool(tooltips=words, renderers=[patches]),
        TapTool(renderers=[patches], callback=OpenURL(url="/fields/@id", same_tab=True)),
    )


def _write_places(drawn: figure, fields: Sequence[MapField]) -> None:
    placed = [one for one in fields if one.place]
    drawn.text(
        [one.middle[0] for one in placed],
        [one.middle[1] for one in placed],
        [one.place for one in placed],
        text_color=PAPER,
        text_outline_color=INK,
        text_font_size="19px",
        text_font_style="bold",
        text_align="center",
        text_baseline="middle",
    )


def _draw_ways(drawn: figure, ways: Sequence[MapWay]) -> None:
    for one in ways:
        xs, ys = zip(*one.way, strict=True)
        drawn.line(xs, ys, line_color=PAPER, line_width=6)
        drawn.line(xs, ys, line_color=INK, line_width=2.5, line_dash=list(one.dash))
        x, y = one.letter_at
        drawn.scatter([x], [y], size=24, fill_color=PAPER, line_color=INK, line_width=2)
        drawn.text(
            [x],
            [y],
            [one.letter],
            text_color=INK,
            text_font_style="bold",
            text_align="center",
            text_baseline="middle",
        )


def _draw_points(drawn: figure, points: Sequence[MapPoint]) -> None:
    for kind, (marker, size) in MARKERS.items():
        of_kind = [one for one in points if one.kind == kind]
        if not of_kind:
            continue
        source = ColumnDataSource(
            {
                "x": [one.at[0] for one in of_kind],
                "y": [one.at[1] for one in of_kind],
                "name": [one.name for one in of_kind],
            }
        )
        marks = drawn.scatter(
            *("x", "y"),
            source=source,
            marker=marker,
            size=size,
            fill_color=PAPER,
            line_color=INK,
            line_width=2,
        )
        drawn.add_tools(HoverTool(tooltips=[("", "@name")], renderers=[marks]))


def _row(one: MapField, shade: Shade) -> dict[str, object]:
    fill, hatch, width = LOOKS[one.look]
    if shade == "effect":
        hatch, fill = " ", PAPER
        if one.step is None:
            hatch = "x"
        elif one.look != "gone":
            fill = FILLS[one.step]
    xs, ys = zip(*one.ring, strict=True)
    return {
        "xs": [round(x, 1) for x in xs],
        "ys": [round(y, 1) for y in ys],
        "id": one.id,
        "name": one.name,
        "call": one.words,
        "size": one.size,
        "effect": one.effect,
        "fill": fill,
        "hatch": hatch,
        "stroke": PAPER if one.look == "short" else MID,
        "width": width,
    }
