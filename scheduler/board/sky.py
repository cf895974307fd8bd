"""Whose forecasts there are and how they did, for the board."""

from collections.abc import Collection, Mapping
from datetime import datetime
from functools import partial
from typing import TYPE_CHECKING

from scheduler import exit_codes
from scheduler.board.again import ReadAgain
from scheduler.doctor import Check, look_at_all
from scheduler.doctor_farm import ahead_found, others_found
from storage.errors import StorageError
from storage.newest_rows import newest_rows
from storage.tables import verifications
from web.sent_desk import Look

if TYPE_CHECKING:
    from forecasts.tellers import Tellers
    from scheduler.board.desk import FarmNow
    from storage.verification_store import Verification


class KeptSky:
    """The forecasts of a farm, as the board reads them."""

    def __init__(self, farm: "FarmNow") -> None:
        self._farm = farm
        self._again = ReadAgain()

    def tellers(self) -> "Mapping[str, Tellers]":
        """Who is asked, by field."""
        return self._farm().config.tellers

    def newest_issues(self, cell_ids: Collection[str]) -> Mapping[str, datetime | None]:
        """When the newest forecast kept of each cell was issued."""
        return self._farm().stores.forecasts.newest_issues(cell_ids)

    def age_limits_h(self) -> tuple[float, float, float]:
        """Ages past which a forecast is marked, makes no spray call, and makes no call."""
        policy = self._farm().config.settings.dispatch
        return policy.age_badge_h, policy.age_no_spray_h, policy.age_unknown_h

    def looks(self) -> tuple[Look, ...]:
        """How fetching ahead went, and what others say of this machine's clock."""
        farm = self._farm()
        found = {"fetched ahead": ahead_found, "clock": others_found}
        checks = [
            Check(
                name, partial(one, farm.config, lambda: farm.stores.database), exit_codes.DATABASE
            )
            for name, one in found.items()
        ]
        looked = look_at_all(checks)
        return tuple(Look(one.name, one.finding.word, one.finding.told) for one in looked)

    def verified(self) -> "Verification | None":
        """What was found last; None where it is damaged, since it can be found again."""
        stores = self._farm().stores

        def read() -> "Verification | None":
            try:
                return stores.verifications.last()
            except StorageError:
                return None

        return self._again("verified", newest_rows(stores.database, verifications), read)
