"""The course of a field's maturity as plots that answer to a finger."""

from collections.abc import Callable, Sequence
from datetime import UTC, date, datetime, time, timedelta

from bokeh.models import ColumnDataSource, FixedTicker, HoverTool, Model, Range1d
from bokeh.models.annotations import Span
from bokeh.models.text import BaseText
from bokeh.plotting import figure

from dispatch.words import day
from web.field_maturity import Course, Point
from web.field_plots import TILTED_RAD, quiet_figure, stacked
from web.plots import DEEP, MID, PAPER, SOFT

#: Height of each plot [px].
TALL_PX = 240
#: Fewest days an axis spans [days], and most of them that are named.
FEWEST_DAYS, MOST_DAYS_NAMED = 6, 8

FigureOf = Callable[[Point], float | None]


def course_plot(course: Course) -> Model:
    """Nodes above, percent open below, over the days of the season."""
    first, last = (end(one.on for one in course.points) for end in (min, max))
    # A single visit still has days around it.
    around = max(1, (FEWEST_DAYS - (last - first).days) // 2)
    first, last = first - timedelta(days=around), last + timedelta(days=around)
    ends = Range1d(start=_noon(first), end=_noon(last))
    nodes = quiet_figure(TALL_PX, ends, "NACB [nodes]")
    opened = quiet_figure(TALL_PX, ends, "bolls open [%]")
    _ranges(nodes, course)
    _course(nodes, course, lambda one: one.nodes, course.nodes_max)
    _course(opened, course, lambda one: one.open_pct, course.open_min_pct)
    known = [one.nodes for one in course.points if one.nodes is not None]
    nodes.y_range = Range1d(start=0, end=max([course.nodes_max or 0, *known]) + 1)
    opened.y_range = Range1d(start=0, end=100)
    for drawn in (nodes, opened):
        _days(drawn, first, last)
        drawn.add_layout(
            Span(location=_noon(course.today), dimension="height", line_color=MID, line_width=2)
        )
    return stacked(nodes, opened)


def _days(drawn: figure, first: date, last: date) -> None:
    step = -(-(last - first).days // MOST_DAYS_NAMED)
    named = [first + timedelta(days=at) for at in range(0, (last - first).days + 1, step)]
    names: dict[float | str, str | BaseText] = {_noon(one): day(one) for one in named}
    drawn.xaxis.ticker = FixedTicker(ticks=[_noon(one) for one in named])
    drawn.xaxis.major_label_overrides = names
    drawn.xaxis.major_label_orientation = TILTED_RAD


def _course(drawn: figure, course: Course, figure_of: FigureOf, limit: float | None) -> None:
    if limit is not None:
        drawn.add_layout(
            Span(location=limit, dimension="width", line_color=SOFT, line_dash="dashed")
        )
    for points, fill, dash in (
        (course.counted, DEEP, "solid"),
        (course.projected, PAPER, "dashed"),
    ):
        told = [one for one in points if figure_of(one) is not None]
        if told:
            _points(drawn, told, figure_of, fill, dash)


def _points(
    drawn: figure, points: Sequence[Point], figure_of: FigureOf, fill: str, dash: str
) -> None:
    source = ColumnDataSource(
        {
            "x": [_noon(one.on) for one in points],
            "y": [figure_of(one) for one in points],
            "day": [one.day for one in points],
            "nodes": [one.nodes_words for one in points],
            "open": [one.open_words for one in points],
            "told": [one.told for one in points],
        }
    )
    drawn.line("x", "y", source=source, line_color=DEEP, line_dash=dash, line_width=2)
    dots = drawn.scatter(
        "x", "y", source=source, size=9, fill_color=fill, line_color=DEEP, line_width=2
    )
    words = [("", "@day"), ("NACB", "@nodes"), ("open", "@open"), ("", "@told")]
    drawn.add_tools(HoverTool(tooltips=words, renderers=[dots]))


def _ranges(drawn: figure, course: Course) -> None:
    """Where the node count lies 80 times in 100, as a line through each day."""
    known = [one for one in course.projected if one.low is not None and one.high is not None]
    sides = ColumnDataSource(
        {
            "x": [_noon(one.on) for one in known],
            "low": [one.low for one in known],
            "high": [one.high for one in known],
        }
    )
    drawn.segment("x", "low", "x", "high", source=sides, line_color=MID, line_width=4)


def _noon(on: date) -> float:
    return datetime.combine(on, time(12), UTC).timestamp() * 1000
