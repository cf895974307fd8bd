"""Scores of forecasts as plots that answer to a finger."""

from collections.abc import Sequence

from bokeh.models import ColumnDataSource, HoverTool, Model, Range1d
from bokeh.plotting import figure

from web.field_plots import quiet_figure
from web.plots import DEEP, INK, MID, PAPER, SOFT
from web.sky_scores import ErrorScore, OddsScore, SourceScore, apart
from web.units import Units, unit

#: Height of a plot [px].
TALL_PX = 280
#: Least and most size of a dot, which grows with the nights it is of [px].
SMALL_PX, LARGE_PX = 7, 22


def errors_plot(one: SourceScore, units: Units) -> Model | None:
    """Mean error and bias of lows and highs by days ahead; None where there are too few nights."""
    lows, highs = _enough(one.lows), _enough(one.highs)
    if not lows and not highs:
        return None
    leads = [score.lead_days for score in (*lows, *highs)]
    first, last = min(leads), max(leads)
    ends = Range1d(start=first - 0.5, end=last + 0.5)
    drawn = _figure(ends, "days ahead", f"error [{unit('temp', units)}]")
    drawn.xaxis.ticker = list(range(first, last + 1))
    drawn.line([first - 0.5, last + 0.5], [0, 0], line_color=SOFT)
    for name, scores, marker, hue in (
        ("lows", lows, "circle", DEEP),
        ("highs", highs, "square", MID),
    ):
        for what in ("mean error", "bias"):
            _errors(drawn, name, what, scores, marker, hue, units)
    drawn.legend.label_text_color = INK
    drawn.legend.background_fill_alpha = drawn.legend.border_line_alpha = 0
    drawn.legend.ncols = 2
    # Beside the plot, where it hides no dot.
    drawn.add_layout(drawn.legend[0], "below")
    return drawn


def reliability_plot(one: OddsScore) -> Model | None:
    """The share that came against the odds told; None where there are too few nights."""
    bins = [each for each in one.reliability if each.enough]
    if not one.enough or not bins:
        return None
    drawn = _figure(Range1d(start=-4, end=104), "told [in 100]", "came [in 100]")
    drawn.y_range = Range1d(start=-4, end=104)
    drawn.line([0, 100], [0, 100], line_color=SOFT, line_dash="dashed")
    most = max(each.n for each in bins)
    source = ColumnDataSource(
        {
            "told": [each.told_pct for each in bins],
            "came": [each.came_pct for each in bins],
            "low": [each.came_low_pct for each in bins],
            "high": [each.came_high_pct for each in bins],
            "n": [each.n for each in bins],
            "size": [SMALL_PX + (LARGE_PX - SMALL_PX) * each.n / most for each in bins],
        }
    )
    drawn.segment("told", "low", "told", "high", source=source, line_color=MID, line_width=2)
    dots = drawn.scatter(
        "told", "came", size="size", source=source, fill_color=DEEP, line_color=PAPER
    )
    words = [("told", "@told{0} in 100"), ("came", "@came{0} in 100"), ("cases", "@n")]
    drawn.add_tools(HoverTool(tooltips=words, renderers=[dots]))
    return drawn


def _figure(ends: Range1d, below: str, beside: str) -> figure:
    drawn = quiet_figure(TALL_PX, ends, beside)
    drawn.xaxis.axis_label = below
    drawn.xgrid.visible = False
    # The page shows through, light or dark.
    drawn.background_fill_alpha = drawn.border_fill_alpha = 0
    return drawn


def _enough(scores: Sequence[ErrorScore]) -> list[ErrorScore]:
    return [one for one in scores if one.enough and one.bias is not None and one.mae is not None]


def _errors(
    drawn: figure,
    name: str,
    what: str,
    scores: Sequence[ErrorScore],
    marker: str,
    hue: str,
    units: Units,
) -> None:
    if not scores:
        return
    bias = what == "bias"
    values = [(one.bias if bias else one.mae) or 0.0 for one in scores]
    source = ColumnDataSource(
        {
            "lead": [one.lead_days for one in scores],
            "value": [round(apart(value, "temp", units), 2) for value in values],
            "nights": [one.nights for one in scores],
        }
    )
    label = f"{what}, {name}"
    drawn.line(
        *("lead", "value"),
        source=source,
        line_color=hue,
        line_width=2,
        line_dash="dotted" if bias else "solid",
        legend_label=label,
    )
    dots = drawn.scatter(
        *("lead", "value"),
        source=source,
        marker=marker,
        size=9,
        line_color=hue,
        fill_color=PAPER if bias else hue,
        legend_label=label,
    )
    words = [("", label), ("days ahead", "@lead"), ("error", "@value{0.0}"), ("nights", "@nights")]
    drawn.add_tools(HoverTool(tooltips=words, renderers=[dots]))
