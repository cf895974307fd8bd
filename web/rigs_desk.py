"""What the pages of the rigs ask of the farm."""

from collections.abc import Sequence
from typing import Protocol

from dispatch.report import MorningReport
from dispatch.routes.plan import RoutePlan
from dispatch.routes.what_if import WhatIf
from notify.rig_sheet import FarmFacts


class RigsRefusal(Exception):
    """Why something was not done, in one line that says what to do."""


class RigDesk(Protocol):
    """Plans of rigs, and what people report while they are driven.

    What is reported or planned raises `RigsRefusal` where it cannot be; a ``revision`` is that of
    the plan the reader looked at, and another plan made meanwhile is such a reason.
    """

    def latest(self) -> RoutePlan | None:
        """The plan kept last; the same object until there is a newer. `RigsRefusal` if damaged."""
        ...

    def facts(self, report: MorningReport) -> FarmFacts:
        """What sheets and maps tell beside a plan."""
        ...

    def plan(self, report: MorningReport) -> RoutePlan:
        """Search for a plan from now on, as long as is set, and keep it."""
        ...

    def compare(self, report: MorningReport, rigs: int) -> Sequence[WhatIf]:
        """What so many rigs would reach, and one fewer and more; nothing is kept."""
        ...

    def done(self, field_id: str, when: str, who: str) -> None:
        """A stop was sprayed, at a local time of today such as "14:20", now if ""."""
        ...

    def skip(self, field_id: str, why: str) -> None:
        """Leave a field out of the plans until it is put back."""
        ...

    def missed(self, field_id: str, why: str) -> None:
        """A field was not sprayed though its time is past, or is skipped no more."""
        ...

    def lock(self, field_id: str, revision: int, *, locked: bool) -> None:
        """Hold a stop at its rig, day and time in the plans to come, or let it go."""
        ...
