"""What there is to plan: fields with their windows, rigs with their days, the miles between.

Times are whole minutes from ``start_utc``, so that a plan says what the planner reckoned with.
"""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cached_property

from dispatch.routes.settings import RouteSettings
from dispatch.routes.travel import Travel
from dispatch.routes.work import ready_min, spray_min, tank_holds
from farm.rig import Rig, RigKind

BOTH_KINDS: tuple[RigKind, ...] = ("air", "ground")


@dataclass(frozen=True)
class RouteWindow:
    """Minutes in which a spray may start, and by when all of it must be done.

    ``effect_pct`` is the lowest effect of the start hours it spans. In a ``full`` window the
    rain-free hours and the nights without a freeze are seen from every minute up to
    ``close_min``; ``lacks`` says what is missing in one that is not. Rigs of ``kinds`` may use it.
    """

    open_min: int
    last_start_min: int
    close_min: int
    effect_pct: float
    full: bool
    kinds: tuple[RigKind, ...] = BOTH_KINDS
    lacks: str = ""


@dataclass(frozen=True)
class FieldJob:
    """One field to spray, placed where rigs come to it.

    ``gallons`` is None where the mix has no gallons an acre entered.
    """

    field_id: str
    name: str
    latitude: float
    longitude: float
    acres: float
    mix_id: str
    gallons: float | None
    windows: tuple[RouteWindow, ...]


@dataclass(frozen=True)
class RigDay:
    """One rig on one local day, with who drives it (None where anybody may)."""

    rig: Rig
    on: date
    start_min: int
    end_min: int
    driver: str | None = None


@dataclass(frozen=True)
class Visit:
    """A field in one of its windows; ``fill_first`` sends a rig by its yard for a tank before."""

    job: int
    window: int
    fill_first: bool = False


#: The visits of every rig-day, in order.
Routes = tuple[tuple[Visit, ...], ...]


@dataclass(frozen=True, eq=False)
class RouteProblem:
    """Fields in the order of the morning, rig-days, and the way between them."""

    start_utc: datetime
    time_zone: str
    jobs: tuple[FieldJob, ...]
    rig_days: tuple[RigDay, ...]
    travel: Travel
    settings: RouteSettings

    @cached_property
    def spray_min(self) -> dict[str, list[int]]:
        """Minutes each rig works in each field, refills in it included."""
        return {rig.id: [spray_min(rig, one) for one in self.jobs] for rig in self.rigs}

    @cached_property
    def ready_min(self) -> dict[str, list[int]]:
        """Minutes from a rig's coming to each field until it can spray."""
        setup_min = self.settings.setup_min
        return {rig.id: [ready_min(rig, one, setup_min) for one in self.jobs] for rig in self.rigs}

    @cached_property
    def rigs(self) -> tuple[Rig, ...]:
        """The rigs that have a day, each once."""
        return tuple({one.rig.id: one.rig for one in self.rig_days}.values())

    def moment(self, minute: int) -> datetime:
        """A minute of the plan as a time."""
        return self.start_utc + timedelta(minutes=minute)

    def worth_ac(self, visit: Visit) -> float:
        """What a visit is worth, in acres sprayed at full effect."""
        one = self.jobs[visit.job]
        return one.acres * one.windows[visit.window].effect_pct / 100

    def windows_on(self, day: RigDay, job: int) -> list[int]:
        """Windows of a field that lie at least partly in a rig's day."""
        return [
            number
            for number, one in enumerate(self.jobs[job].windows)
            if one.open_min < day.end_min and one.close_min > day.start_min
        ]

    def fits_tank(self, rig: Rig, job: int) -> bool:
        """Whether a rig that fills in its yard can spray the field with one tank."""
        return tank_holds(rig, self.jobs[job])
