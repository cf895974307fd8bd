"""What the page of forecasts asks of the farm."""

from collections.abc import Collection, Mapping
from datetime import datetime
from typing import Protocol

from forecasts.tellers import Tellers
from storage.verification_store import Verification
from web.sent_desk import Look


class SkyDesk(Protocol):
    """Whose forecasts there are, how fresh they are, and how good they were."""

    def tellers(self) -> Mapping[str, Tellers]:
        """Who is asked, by field."""
        ...

    def newest_issues(self, cell_ids: Collection[str]) -> Mapping[str, datetime | None]:
        """When the newest forecast kept of each cell was issued, the morning's own or a newer."""
        ...

    def age_limits_h(self) -> tuple[float, float, float]:
        """Ages past which a forecast is marked, makes no spray call, and makes no call [h]."""
        ...

    def looks(self) -> tuple[Look, ...]:
        """How fetching ahead went, and what others say of this machine's clock."""
        ...

    def verified(self) -> Verification | None:
        """What `warmspell verify` found last; None where it found nothing yet or is damaged."""
        ...
