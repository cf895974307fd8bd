"""What the page of sprayed and frozen fields asks of the farm."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

from farm.records import Spray


@dataclass(frozen=True)
class Earliest:
    """When a sprayed field may be entered and picked at the earliest, by the label values entered.

    None where none was entered; a begun minute is counted whole.
    """

    reentry_utc: datetime | None
    harvest_utc: datetime | None


class AfterDesk(Protocol):
    """Records of this season that were not taken back."""

    def sprays(self) -> Mapping[str, Spray]:
        """The last spray of each field."""
        ...

    def earliest(self, spray: Spray) -> Earliest:
        """When a field may be entered and picked after a spray."""
        ...
