"""What follows a spray, as the board asks for it."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

from scheduler.season_records import readable_records
from scheduler.spray_record import intervals, whole_minute
from web.after_desk import Earliest

if TYPE_CHECKING:
    from farm.records import Spray
    from scheduler.board.desk import FarmNow


class KeptSprays:
    """The sprays of a farm that stand."""

    def __init__(self, farm: "FarmNow") -> None:
        self._farm = farm

    def sprays(self) -> "Mapping[str, Spray]":
        """The last spray of each field this season, without those taken back."""
        farm = self._farm()
        # Where it is not certain whether a spray was taken back it stays: re-entry is kept to.
        return readable_records(farm.stores, farm.config.time_zone, farm.now).sprays

    def earliest(self, spray: "Spray") -> Earliest:
        """When a field may be entered and picked after a spray, by the label values entered."""
        mixes = {one.id: one for one in self._farm().config.settings.treatments}
        told = intervals(spray, mixes.get(spray.treatment_id))
        return Earliest(
            *(
                None if moment is None else whole_minute(moment)
                for moment in (told.reentry_utc, told.harvest_utc)
            )
        )
