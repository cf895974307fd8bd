"""The rules compared: which fields today, in which order. A rule sees no more than is told."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Protocol

import numpy as np
import numpy.typing as npt

from dispatch.season.assumptions import MIDDLE_COLD_SPOT_F
from dispatch.season.co_op import GATES, CoOp
from dispatch.season.seen import Seen

Whole = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]


class Told(Protocol):
    """What the other rules ask of a morning, simulated or recorded; fields by their place."""

    @property
    def may_go(self) -> Whole:
        """Open fields whose last count is mature."""

    @property
    def mature_since(self) -> Whole:
        """Morning from which each field has been mature."""

    @property
    def lot(self) -> Floats:
        """A number drawn once a season for each field."""

    @property
    def freeze_told(self) -> bool:
        """Whether any morning so far was told of a freeze."""

    @property
    def day_of_year(self) -> int:
        """Today."""

    def row(self, one: int) -> int:
        """Row of a field's sky."""

    def spray_by_s(self, row: int) -> float:
        """Last start with a full window [s since 1970]."""


@dataclass(frozen=True, eq=False)
class View:
    """One season's morning as a rule sees it, shape (fields,) unless said otherwise.

    ``place`` is the season's place in the block. ``state`` is the verdict on the last count,
    ``counted`` on day ``visited``, and ``mature_since`` the morning from which it has been mature.
    ``passes`` is what somebody would find who cuts bolls today. ``lows_told_f`` (leads,) are the
    lows told, ``freeze_told`` whether any morning so far was told of a freeze. ``lot`` is drawn
    once a season.
    """

    place: int
    seen: Seen
    co_op: CoOp
    open: Flags
    state: npt.NDArray[np.str_]
    counted: Floats
    visited: Whole
    passes: Flags
    mature_since: Whole
    lows_told_f: Floats
    freeze_told: bool
    day_of_year: int
    lot: Floats

    @property
    def may_go(self) -> Whole:
        """Open fields whose last count is mature."""
        return np.nonzero(self.open & (self.state == "mature"))[0]

    def row(self, one: int) -> int:
        """Row of a field's kind in what the morning sees."""
        return self.seen.row_of[self.place, int(self.co_op.kind[one])]

    def spray_by_s(self, row: int) -> float:
        """Last start with a full window of a row [s since 1970]."""
        return self.seen.spray_by_s(row)


Rule = Callable[[View], list[int]]
RuleOfOthers = Callable[[Told], list[int]]

#: Day of year from which the other form of the habit starts, forecast or not: 5 October.
HABIT_FROM_DAY = 278


def first_mature_first(view: Told) -> list[int]:
    """The field that has been mature longest goes first."""
    return [int(one) for one in view.may_go[np.argsort(view.mature_since[view.may_go])]]


def spray_by_first(view: Told) -> list[int]:
    """The field with the earliest spray-by time goes first, the one mature longest among equals."""
    by_kind: dict[int, float] = {}

    def until(one: int) -> float:
        row = view.row(one)
        if row not in by_kind:
            by_kind[row] = view.spray_by_s(row)
        return by_kind[row]

    going = [int(one) for one in view.may_go]
    return sorted(going, key=lambda one: (until(one), view.mature_since[one]))


def by_lot(view: Told) -> list[int]:
    """Any order, the same all season."""
    return [int(one) for one in view.may_go[np.argsort(view.lot[view.may_go])]]


def habit(view: Told) -> list[int]:
    """Nobody until a freeze is in the forecast, then the field mature longest first."""
    return first_mature_first(view) if view.freeze_told else []


def habit_or_october(view: Told) -> list[int]:
    """The same, but from 5 October on in any case."""
    late = view.day_of_year >= HABIT_FROM_DAY
    return first_mature_first(view) if view.freeze_told or late else []


def tells_of_freeze(lows_told_f: Floats) -> bool:
    """Whether a freeze at the middle field is in a forecast."""
    return bool((lows_told_f - MIDDLE_COLD_SPOT_F <= GATES.freeze_f).any())


#: The rules ours is held against, by the names they are told under.
RULES_OF_OTHERS: Mapping[str, RuleOfOthers] = {
    "first mature first": first_mature_first,
    "earliest spray-by first": spray_by_first,
    "random": by_lot,
    "habit": habit,
    "habit or 5 October": habit_or_october,
}
