"""What the board asks of the farm. The scheduler, which knows the clock and the config, answers."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

from dispatch.report import MorningReport
from dispatch.routes.called import Since
from farm.field import Field
from farm.people import Grower
from farm.rig import Rig
from farm.treatment import Treatment
from web.after_desk import AfterDesk
from web.field_desk import FieldDesk
from web.outside_desk import OutsideDesk
from web.rigs_desk import RigDesk
from web.scout_desk import Scouting
from web.sent_desk import SentDesk
from web.sky_desk import SkyDesk
from web.units import Units


@dataclass(frozen=True)
class FarmFacts:
    """The farm as registered."""

    name: str
    time_zone: str
    units: Units
    fields: Mapping[str, Field]
    growers: Mapping[str, Grower]
    rigs: tuple[Rig, ...]
    treatments: tuple[Treatment, ...]


class Mornings(Protocol):
    """The plans that were made."""

    def latest(self) -> MorningReport | None:
        """The plan made last; None before the first. The same object until there is a newer."""
        ...

    def called_before(self, report: MorningReport) -> frozenset[str] | None:
        """Ids of the fields called the day before a plan; None where no plan of it is read."""
        ...

    def since(self, report: MorningReport) -> Since:
        """What has happened since a plan was made, and the time now."""
        ...


class Clock(Protocol):
    """Tells the time, aware, in UTC."""

    def __call__(self) -> datetime: ...


@dataclass(frozen=True)
class Desk:
    """Everything the board asks. Each part is told in the file of the pages that ask it."""

    farm: FarmFacts
    mornings: Mornings
    rigs: RigDesk
    after: AfterDesk
    fields: FieldDesk
    scouting: Scouting
    outside: OutsideDesk
    sky: SkyDesk
    sent: SentDesk
    clock: Clock
