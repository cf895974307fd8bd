"""What records say of a field or a farm: a freeze that hit it, what is picked and what is not."""

from datetime import date
from typing import Literal

from pydantic import AwareDatetime

from dispatch.field_figures import Figure


class AfterFreeze(Figure):
    """A field that a killing freeze hit, and when to look at it.

    ``low_f`` is None where no low was told. ``confirmed`` is False while only a forecast of that
    night told of it. ``found`` is what the last look found, None where nobody has looked since.
    ``due_today`` marks a look that is due and not yet taken.
    """

    froze_utc: AwareDatetime
    low_f: float | None = None
    confirmed: bool
    days_since: float
    inspect_from: date
    inspect_until: date
    due_today: bool
    found: Literal["killed", "unclear"] | None = None
    inspected_utc: AwareDatetime | None = None


class HarvestRoom(Figure):
    """How many acres may be sprayed before the harvest falls behind.

    ``backlog_acres`` are sprayed and not picked, ``room_acres`` what may be sprayed on top of
    them, 0 where the harvest is full.
    """

    acres_a_day: float
    within_days: float
    backlog_acres: float
    room_acres: float

    @property
    def full(self) -> bool:
        """Whether nothing more may be sprayed."""
        return self.room_acres <= 0
