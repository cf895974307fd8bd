"""What stands of the plan before, and what has been reported since."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

from dispatch.routes.plan import PlannedDay, RoutePlan, Stop


@dataclass(frozen=True)
class Outage:
    """A rig that does not work from a time on; ``until_utc`` None is until further notice."""

    rig_id: str
    from_utc: datetime
    until_utc: datetime | None = None
    why: str = ""

    def touches(self, start_utc: datetime, end_utc: datetime) -> bool:
        """Whether any of a span falls into it."""
        return end_utc > self.from_utc and (self.until_utc is None or start_utc < self.until_utc)


@dataclass(frozen=True)
class Lock:
    """A field that stays with its rig, its day and, within a tolerance, its start."""

    field_id: str
    rig_id: str
    on: date
    start_utc: datetime


@dataclass(frozen=True)
class Standing:
    """The plan that was kept before this one, and what changes it.

    ``sprayed`` says when fields of it were sprayed, ``skipped`` why fields are left out,
    ``missed`` why fields were not sprayed though their time is past. ``locks`` are those asked
    for and those that stood, ``notes`` sentences about what could not be read. ``parts_done``
    says when parts of fields were sprayed that are not sprayed whole, by the part's own name.
    """

    plan: RoutePlan | None = None
    sprayed: Mapping[str, datetime] = field(default_factory=dict)
    skipped: Mapping[str, str] = field(default_factory=dict)
    missed: Mapping[str, str] = field(default_factory=dict)
    outages: tuple[Outage, ...] = ()
    locks: tuple[Lock, ...] = ()
    notes: tuple[str, ...] = ()
    parts_done: Mapping[str, datetime] = field(default_factory=dict)

    def outage(self, rig_id: str, start_utc: datetime, end_utc: datetime) -> Outage | None:
        """What takes a rig away in any of a span; None where it works."""
        found = (one for one in self.outages if one.rig_id == rig_id)
        return next((one for one in found if one.touches(start_utc, end_utc)), None)

    @property
    def stops(self) -> dict[str, tuple[PlannedDay, Stop]]:
        """The stops of the plan before with their days, by field."""
        days = self.plan.days if self.plan else ()
        return {stop.field_id: (day, stop) for day in days for stop in day.stops}


NOTHING = Standing()
