"""The course of a field's maturity as plots that answer to a finger."""

from collections.abc import Callable, Sequence
from datetime import UTC, date, datetime, time

from bokeh.models import ColumnDataSource, DatetimeTickFormatter, HoverTool, Model, Range1d
from bokeh.models.annotations import Span
from bokeh.plotting import figure

from web.field_maturity import Course, Point
from web.field_plots import quiet_figure, stacked
from web.plots import DEEP, MID, PAPER, SOFT

#: Height of each plot [px].
TALL_PX = 240
#: Milliseconds in a day, as the library counts time.
DAY_MS = 86_400_000

FigureOf = Callable[[Point], float | None]


def course_plot(course: Course) -> Model:
    """Nodes above, percent open below, over the days of the season."""
    days = [_noon(one.on) for one in course.points]
    ends = Range1d(start=min(days) - 2 * DAY_MS, end=max(days) + 2 * DAY_MS)
    nodes = quiet_figure(TALL_PX, ends, "NACB [nodes]")
    opened = quiet_figure(TALL_PX, ends, "bolls open [%]")
    _ranges(nodes, course)
    _course(nodes, course, lambda one: one.nodes, course.nodes_max)
    _course(opened, course, lambda one: one.open_pct, course.open_min_pct)
    known = [one.nodes for one in course.points if one.nodes is not None]
    nodes.y_range = Range1d(start=0, end=max([course.nodes_max or 0, *known]) + 1)
    opened.y_range = Range1d(start=0, end=100)
    for drawn in (nodes, opened):
        drawn.xaxis.major_label_orientation = 0.6
        drawn.xaxis.formatter = DatetimeTickFormatter(days="%a %d %b", months="%a %d %b")
        drawn.add_layout(
            Span(location=_noon(course.today), dimension="height", line_color=MID, line_width=2)
        )
    return stacked(nodes, opened)


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
