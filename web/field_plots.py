"""The hours ahead of a field as plots that answer to a finger."""

from collections.abc import Callable, Sequence
from math import nan

from bokeh.layouts import column
from bokeh.models import (
    ColumnDataSource,
    FixedTicker,
    HoverTool,
    LayoutDOM,
    Model,
    Range1d,
)
from bokeh.models.annotations import BoxAnnotation, Span
from bokeh.models.text import BaseText
from bokeh.plotting import figure

from dispatch.words import LocalClock, day
from web.day_cards import range_f, runs_of
from web.field_hours import Hours, hour_rows
from web.plots import DEEP, INK, MID, PALE, SOFT
from web.units import Units, turned, unit

#: Heights of the plots [px].
TEMP_PX, AIR_PX = 260, 200
#: How names of days are tilted [rad]: side by side they do not fit a phone.
TILTED_RAD = 0.6
TOOLS = "pan,wheel_zoom,box_zoom,reset"


def hours_plot(hours: Hours, clock: LocalClock, units: Units) -> Model:
    """Temperature above, rain and wind below, over the same hours; windows behind both."""
    ends = Range1d(start=0, end=len(hours), bounds=(0, len(hours)))
    source = _hours_source(hours, clock, units)
    warm = quiet_figure(TEMP_PX, ends, f"temperature [{unit('temp', units)}]")
    cold, hot = (turned(one, "temp", units) for one in range_f(hours))
    warm.y_range = Range1d(start=cold, end=hot)
    _line(warm, source, "temp", DEEP)
    for value, dash in ((hours.freeze_f, "solid"), (hours.killing_f, "dashed")):
        at = turned(value, "temp", units)
        warm.add_layout(Span(location=at, dimension="width", line_color=SOFT, line_dash=dash))
    air = quiet_figure(AIR_PX, ends, f"rain chance [%], wind [{unit('speed', units)}]")
    air.vbar("x", 1.0, "rain_pct", source=source, fill_color=MID, line_color=None)
    _line(air, source, "wind", DEEP)
    for drawn in (warm, air):
        _windows(drawn, hours)
        _days(drawn, hours, clock)
    return stacked(warm, air)


def _hours_source(hours: Hours, clock: LocalClock, units: Units) -> ColumnDataSource:
    rows = hour_rows(hours, clock, units)
    effect = hours.effect_pct or (None,) * len(hours)
    return ColumnDataSource(
        {
            "x": [hour + 0.5 for hour in range(len(hours))],
            "temp": _told(hours.temp_f, lambda one: turned(one, "temp", units)),
            "wind": _told(hours.wind_mph, lambda one: turned(one, "speed", units)),
            "rain_pct": _told(hours.rain_pct, float),
            "when": [row.when for row in rows],
            "may": [row.may_start or "no call stands" for row in rows],
            "temp_words": [row.temp for row in rows],
            "wind_words": [row.wind for row in rows],
            "rain_words": [row.rain for row in rows],
            "effect": ["not told" if one is None else f"{one:.0f} of 100" for one in effect],
        }
    )


def _told(values: Sequence[float | None], turn: Callable[[float], float]) -> list[float]:
    return [nan if one is None else turn(one) for one in values]


def _line(drawn: figure, source: ColumnDataSource, name: str, color: str) -> None:
    line = drawn.line("x", name, source=source, line_color=color, line_width=2)
    words = [
        ("", "@when"),
        ("spraying", "@may"),
        ("temperature", "@temp_words"),
        ("wind", "@wind_words"),
        ("rain chance", "@rain_words"),
        ("effect", "@effect"),
    ]
    drawn.add_tools(HoverTool(tooltips=words, renderers=[line], mode="vline"))


def _windows(drawn: figure, hours: Hours) -> None:
    """Full windows filled, parts hatched; those that are no call are only outlined."""
    for value, first, after in runs_of(hours.spray, range(len(hours.spray))):
        if value not in ("full", "partial"):
            continue
        whole = value == "full" and not hours.faint
        drawn.add_layout(
            BoxAnnotation(
                left=first,
                right=after,
                level="underlay",
                fill_color=PALE,
                fill_alpha=1.0 if whole else 0.0,
                hatch_pattern="/" if value == "partial" else " ",
                hatch_color=PALE,
                line_color=MID if hours.faint else DEEP,
                line_dash="solid" if value == "full" else "dashed",
            )
        )


def _days(drawn: figure, hours: Hours, clock: LocalClock) -> None:
    """Midnights as lines, each with the day that begins."""
    midnights = [hour for hour in range(1, len(hours)) if clock.local(hours.moment(hour)).hour == 0]
    names: dict[float | str, str | BaseText] = {0: "now"}
    names.update({hour: day(clock.local(hours.moment(hour)).date()) for hour in midnights})
    drawn.xaxis.ticker = FixedTicker(ticks=[0, *midnights])
    drawn.xaxis.major_label_overrides = names
    drawn.xaxis.major_label_orientation = TILTED_RAD


def quiet_figure(tall: int, ends: Range1d, name: str) -> figure:
    """An empty plot in the hues of the board, ``tall`` pixels high."""
    drawn = figure(
        height=tall,
        sizing_mode="stretch_width",
        x_range=ends,
        tools=TOOLS,
        toolbar_location="above",
        # The page shows through, light or dark.
        background_fill_color=None,
        border_fill_color=None,
        y_axis_label=name,
        output_backend="canvas",
    )
    drawn.toolbar.logo = None
    for axis in drawn.axis:
        axis.axis_label_text_color = INK
        axis.major_label_text_color = INK
        axis.axis_label_text_font_style = "normal"
        axis.axis_line_color = axis.major_tick_line_color = MID
        axis.minor_tick_line_color = None
    drawn.grid.grid_line_color = PALE
    return drawn


def stacked(*drawn: figure) -> LayoutDOM:
    """Plots one below the other, as wide as the page."""
    return column(*drawn, sizing_mode="stretch_width")
