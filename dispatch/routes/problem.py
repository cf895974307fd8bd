"""What there is to plan: fields with their windows, rigs with their days, the miles between.

Times are whole minutes from ``start_utc``, so that a plan says what the planner reckoned with.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from dataclasses import field as dataclass_field
from datetime import date, datetime, timedelta
from functools import cached_property

from dispatch.routes.plan import PlannedDay
from dispatch.routes.settings import RouteSettings
from dispatch.routes.standing import Lock
from dispatch.routes.travel import Travel
from dispatch.routes.work import ready_min, spray_min, tank_holds
from farm.rig import Rig, RigKind

#: What a locked visit counts for in the search, so that no other is worth more [acres].
LOCK_AC = 10_000.0

BOTH_KINDS: tuple[RigKind, ...] = ("air", "ground")


@dataclass(frozen=True)
class RouteWindow:
    """Minutes in which a spray may start, and by when all of it must be done.

    ``effect_pct`` is the lowest effect of the start hours it spans. In a ``full`` window the
    rain-free hours and the nights without a freeze are seen from every minute up to
    ``close_min``; ``lacks`` says what is missing in one that is not. Rigs of ``kinds`` may use it,
    or only the one with ``rig_id``.
    """

    open_min: int
    last_start_min: int
    close_min: int
    effect_pct: float
    full: bool
    kinds: tuple[RigKind, ...] = BOTH_KINDS
    lacks: str = ""
    rig_id: str | None = None

    def takes(self, rig: Rig) -> bool:
        """Whether a rig may use it."""
        return rig.kind in self.kinds and self.rig_id in (None, rig.id)


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
class Begun:
    """Where a rig is that is out already, as a place of the travel, and what is in its tank."""

    place: int
    mix_id: str
    left_gal: float


@dataclass(frozen=True)
class RigDay:
    """One rig on one local day, with who drives it (None where anybody may).

    It starts from its yard, or from where it is where it has ``begun``.
    """

    rig: Rig
    on: date
    start_min: int
    end_min: int
    driver: str | None = None
    begun: Begun | None = None


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
    """Fields in the order of the morning, rig-days, and the way between them.

    ``fixed`` are stops of an earlier plan that are done or under way; ``stays`` says with which
    rig and on which day an earlier plan had a field, ``locks`` which fields must be visited so.
    """

    start_utc: datetime
    time_zone: str
    jobs: tuple[FieldJob, ...]
    rig_days: tuple[RigDay, ...]
    travel: Travel
    settings: RouteSettings
    fixed: tuple[PlannedDay, ...] = ()
    stays: Mapping[str, tuple[str, date]] = dataclass_field(default_factory=dict)
    locks: tuple[Lock, ...] = ()

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

    def kept_ac(self, day: RigDay, job: int) -> float:
        """What a visit brings beside its worth: it stays where it was, or is locked there."""
        field_id = self.jobs[job].field_id
        stays = self.stays.get(field_id) == (day.rig.id, day.on)
        return self.settings.stay_ac * stays + LOCK_AC * (field_id in self.locked)

    @cached_property
    def locked(self) -> frozenset[str]:
        """Ids of the fields that are locked."""
        return frozenset(one.field_id for one in self.locks)

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
