"""The one ink of the season view, as in the HTML mail, and how its strips are lettered."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any

#: Shades of one hue, from text to paper; each is told from the next in black and white too.
INK = "#221f4a"
DEEP = "#332e78"
MID = "#8d88cf"
PALE = "#dedcf2"
PAPER = "#ffffff"
#: Lettering that stands behind: names of strips, limits, hours.
QUIET = "#3d3970"

#: Sizes of letters [points].
TITLE_PT, REASON_PT, NAME_PT, LABEL_PT, SMALL_PT = 17.0, 11.5, 9.5, 9.0, 8.0

#: How matplotlib draws here: names of fields are never read as formulas, text in an SVG stays
#: text, and the same season gives the same file.
STYLE: dict[Any, Any] = {
    "font.family": "DejaVu Sans",
    "font.size": LABEL_PT,
    "text.color": INK,
    "text.parse_math": False,
    "axes.edgecolor": DEEP,
    "axes.facecolor": "none",
    "axes.labelcolor": INK,
    "axes.linewidth": 0.8,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.spines.left": False,
    "hatch.color": MID,
    "hatch.linewidth": 0.8,
    "xtick.color": QUIET,
    "ytick.color": QUIET,
    "ytick.labelsize": SMALL_PT,
    "xtick.labelsize": SMALL_PT,
    "svg.fonttype": "none",
    "svg.hashsalt": "season",
}


@dataclass(frozen=True)
class Run:
    """Hours one after the other that hold one value; ``end_h`` is the hour after the last."""

    value: object
    start_h: int
    end_h: int

    @property
    def hours(self) -> int:
        """Length of the run [h]."""
        return self.end_h - self.start_h

    @property
    def middle_h(self) -> float:
        """Its middle on the axis of hours."""
        return (self.start_h + self.end_h) / 2


def runs_of(values: Sequence[object]) -> list[Run]:
    """The hours as runs of equal values."""
    runs, first = [], 0
    for value, group in groupby(values):
        last = first + len(list(group))
        runs.append(Run(value, first, last))
        first = last
    return runs
