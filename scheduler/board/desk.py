"""The farm as the board sees it: one file for each thing it asks."""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING

from scheduler.board.after import KeptSprays
from scheduler.board.fields import KeptFields
from scheduler.board.mornings import KeptMornings
from scheduler.board.outside import KeptOutside
from scheduler.board.rigs import KeptRigPlans
from scheduler.board.scouting import KeptScouting
from scheduler.board.sent import KeptMessages
from scheduler.board.sky import KeptSky
from web.desk import Desk, FarmFacts

if TYPE_CHECKING:
    from scheduler.opening import OpenFarm

#: Gives the farm as of now.
FarmNow = Callable[[], "OpenFarm"]


def desk_of(farm: "OpenFarm", clock: Callable[[], datetime]) -> Desk:
    """Everything the board asks of an open farm."""

    def now() -> "OpenFarm":
        return replace(farm, now=clock())

    settings, mornings = farm.config.settings, KeptMornings(now)
    return Desk(
        farm=FarmFacts(
            name=settings.farm.name,
            time_zone=farm.config.time_zone,
            units=settings.farm.units,
            fields=farm.fields_by_id,
            growers={one.id: one for one in settings.growers},
            rigs=settings.rigs,
            treatments=settings.treatments,
        ),
        mornings=mornings,
        rigs=KeptRigPlans(now),
        after=KeptSprays(now),
        fields=KeptFields(now),
        scouting=KeptScouting(now),
        outside=KeptOutside(now),
        sky=KeptSky(now),
        sent=KeptMessages(now, mornings),
        clock=clock,
    )
