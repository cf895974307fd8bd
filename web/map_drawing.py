"""Fields as a map: outlines where they are known, else squares as large as the field."""

from collections.abc import Iterable
from math import sqrt
from typing import Literal

from bokeh.models import ColumnDataSource, HoverTool, WMTSTileSource
from bokeh.plotting import figure
from pyproj import Transformer

from dispatch.report import FieldCall
from farm.field import Field
from web.order_rows import call_word, name_of
from web.plots import DEEP, INK, MID, PALE, PAPER, SOFT

Shade = Literal["call", "effect"]

#: Square metres in an acre [m2/acre].
ACRE_M2 = 4046.86

#: How each call is filled: colour, hatch, and width of the outline [px].
LOOKS: dict[str, tuple[str, str, int]] = {
    "spray": (DEEP, " ", 1),
    "short": (MID, "/", 1),
    "look": (PALE, ".", 1),
    "wait": (PAPER, " ", 1),
    "unknown": (PAPER, "x", 3),
    "gone": (PAPER, "x", 1),
}
#: Fills of an effect, from the least to the most [%].
STEPS = (PAPER, PALE, "#b6b2e1", MID, SOFT, DEEP)

_to_map = Transformer.from_crs(4326, 3857, always_xy=True)


def ring(one: Field) -> tuple[list[float], list[float]]:
    """A field's outline on the map [m, web Mercator]."""
    if one.outline is not None:
        longitudes, latitudes = zip(*one.outline, strict=True)
        xs, ys = _to_map.transform(longitudes, latitudes)
        return list(xs), list(ys)
    x, y = _to_map.transform(one.longitude, one.latitude)
    half = sqrt(one.acres * ACRE_M2) / 2
    return [x - half, x + half, x + half, x - half], [y - half, y - half, y + half, y + half]


def draw_map(
    fields: Iterable[FieldCall],
    gone: frozenset[str],
    shade: Shade,
    tiles: str | None,
    credit: str,
) -> figure:
    """The map, one patch a field.

    Parameters
    ----------
    fields
        The fields to show.
    gone
        Ids of those whose call does not stand any more.
    shade
        What the fill tells.
    tiles, credit
        Address of a base map's tiles, None for none, and what their maker wants said.
    """
    shown = [_shown(one, gone, shade) for one in fields]
    drawn = figure(
        x_axis_type="mercator",
        y_axis_type="mercator",
        match_aspect=True,
        sizing_mode="stretch_width",
        height=560,
        tools="pan,wheel_zoom,box_zoom,reset,tap",
        toolbar_location="above",
        background_fill_color=PAPER,
        output_backend="canvas",
    )
    if tiles:
        drawn.add_tile(WMTSTileSource(url=tiles, attribution=credit))
    names = list(shown[0]) if shown else ["xs", "ys"]
    source = ColumnDataSource({name: [one[name] for one in shown] for name in names})
    patches = drawn.patches(
        "xs",
        "ys",
        source=source,
        fill_color="fill",
        hatch_pattern="hatch",
        hatch_color=MID,
        line_color=INK,
        line_width="width",
    )
    words = [("", "@name"), ("call", "@call"), ("acres", "@acres{0}"), ("effect", "@effect")]
    drawn.add_tools(HoverTool(tooltips=words, renderers=[patches]))
    drawn.grid.visible = False
    drawn.axis.visible = False
    drawn.toolbar.logo = None
    return drawn


def _shown(one: FieldCall, gone: frozenset[str], shade: Shade) -> dict[str, object]:
    xs, ys = ring(one.field)
    overtaken = one.field.id in gone
    fill, hatch, width = LOOKS["gone" if overtaken else one.call.value]
    if shade == "effect":
        hatch = " "
        fill = PAPER if one.effect_pct is None else STEPS[_step(one.effect_pct)]
    return {
        "xs": xs,
        "ys": ys,
        "name": name_of(one),
        "call": "call overtaken" if overtaken else call_word(one),
        "acres": one.field.acres,
        "effect": "not known" if one.effect_pct is None else f"{one.effect_pct:.0f} of 100",
        "fill": fill,
        "hatch": hatch,
        "width": width,
    }


def _step(effect_pct: float) -> int:
    return min(len(STEPS) - 1, max(0, int(effect_pct / 100 * len(STEPS))))
