"""How a field has opened over the season, and where it should stand today and on coming days."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from dispatch.field_rules import FieldRules
from dispatch.report import MaturityFigures
from dispatch.words import amount, day, plural
from farm.records import Visit
from notify.user_text import plain_line
from web.field_desk import KeptRecord
from web.field_view import FieldView


@dataclass(frozen=True)
class Point:
    """A day of the course: counted, or projected with the range it lies in 80 times in 100."""

    on: date
    projected: bool
    nodes: float | None
    open_pct: float | None
    told: str
    low: float | None = None
    high: float | None = None

    @property
    def day(self) -> str:
        """The day with its weekday."""
        return day(self.on)

    @property
    def nodes_words(self) -> str:
        """The node count with its range."""
        if self.nodes is None:
            return ""
        if self.low is None or self.high is None:
            return amount(self.nodes)
        return f"{amount(self.nodes)} ({amount(self.low)} to {amount(self.high)})"

    @property
    def open_words(self) -> str:
        """Percent open."""
        return "" if self.open_pct is None else f"{amount(self.open_pct)} %"


@dataclass(frozen=True)
class Course:
    """The course of a season, oldest first, and the limits a mature field keeps to."""

    points: tuple[Point, ...]
    today: date
    nodes_max: float | None
    open_min_pct: float | None

    @property
    def counted(self) -> tuple[Point, ...]:
        """What people counted."""
        return tuple(one for one in self.points if not one.projected)

    @property
    def projected(self) -> tuple[Point, ...]:
        """What is projected, from today on."""
        return tuple(one for one in self.points if one.projected)

    @property
    def limits(self) -> str:
        """The limits in words."""
        if self.nodes_max is None or self.open_min_pct is None:
            return "The limits of that morning are not known."
        return (
            f"Mature: at most {amount(self.nodes_max)} nodes above cracked boll (NACB) and at "
            f"least {amount(self.open_min_pct)} % open."
        )


def course_of(view: FieldView, kept: Sequence[KeptRecord], rules: FieldRules | None) -> Course:
    """The visits that stand, then what the morning projects."""
    today = view.report.run.local_date
    visits = [one.record for one in kept if one.taken_back is None]
    counted = [_counted(one, view) for one in visits if isinstance(one, Visit)]
    seen = [one for one in counted if one.nodes is not None or one.open_pct is not None]
    # A field beside the order is past its counts.
    ahead = _ahead(view.one.maturity, today) if view.one.standing == "open" else []
    return Course(
        points=(*sorted(seen, key=lambda one: one.on), *ahead),
        today=today,
        nodes_max=rules.maturity.nacb_max if rules else None,
        open_min_pct=rules.maturity.percent_open_min if rules else None,
    )


def _counted(visit: Visit, view: FieldView) -> Point:
    on = f" on {plural(visit.plants_counted, 'plant')}" if visit.plants_counted else ""
    how = "seen from the road" if visit.windshield else f"counted{on}"
    by = f" by {plain_line(visit.scout)}" if visit.scout else ""
    late = (
        "; not yet in the morning's call" if visit.observed_utc > view.report.run.made_utc else ""
    )
    return Point(
        on=view.clock.local(visit.observed_utc).date(),
        projected=False,
        nodes=visit.nodes_above_cracked_boll,
        open_pct=visit.percent_open,
        told=view.told(f"{how}{by}{late}"),
    )


def _ahead(told: MaturityFigures, today: date) -> list[Point]:
    points = []
    if told.nacb_today is not None:
        points.append(
            Point(
                on=today,
                projected=True,
                nodes=told.nacb_today,
                open_pct=None,
                told="today, projected",
                low=told.nacb_today_low,
                high=told.nacb_today_high,
            )
        )
    points += [
        Point(one.date, True, one.nacb, one.percent_open, "projected", one.nacb_low, one.nacb_high)
        for one in told.coming_days
    ]
    return points
