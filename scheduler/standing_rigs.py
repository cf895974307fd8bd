"""The plan of rigs that stands, for whoever must be told that a stop of it falls away."""

import logging
from typing import TYPE_CHECKING

from dispatch.routes.settings import RouteSettings
from farm.rig import Rig
from notify.morning_rigs import MorningRigs
from notify.rig_sheet import FarmFacts
from storage.errors import StorageError

if TYPE_CHECKING:
    from config.farm_config import FarmConfig
    from storage.stores import Stores

log = logging.getLogger("warmspell.morning")


def in_digest(routes: RouteSettings, rigs: tuple[Rig, ...]) -> bool:
    """Whether digests tell of the rigs: as set, else where a yard or a driver is entered.

    Without either, a plan starts all rigs from the middle of the fields and nobody drives them.
    """
    if routes.in_digest is not None:
        return routes.in_digest and bool(rigs)
    return any(one.yard_latitude is not None or one.drivers for one in rigs)


def standing_rigs(config: "FarmConfig", stores: "Stores") -> MorningRigs | None:
    """The plan kept last; None where digests do not tell of it, or it cannot be read."""
    settings = config.settings
    if not in_digest(settings.routes, settings.rigs):
        return None
    try:
        plan = stores.route_plans.latest()
    except StorageError as fault:
        log.error("the plan of rigs cannot be read, so no stop is told to fall away: %s", fault)
        return None
    rigs = {one.id: one for one in settings.rigs}
    return MorningRigs(FarmFacts(settings.farm.name, rigs=rigs), plan)
