"""A backup put where a farm's database is, without sending anything a second time."""

from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from storage.restore import Restored, restore
from storage.stores import open_stores

if TYPE_CHECKING:
    from config.farm_config import FarmConfig


def put_back(
    config: "FarmConfig", backup: Path, now: datetime, *, replace: bool
) -> tuple[Restored, date | None]:
    """What was put back, and the local date whose morning was given up, if one was.

    A backup does not know what was sent after it was made. So a morning of today that should be
    out by now, and is not in the backup, is not sent by the worker.

    Raises
    ------
    StorageError
        Nothing was put back.
    """
    farm, password = config.settings.farm, config.secrets.database_password
    told = restore(backup, farm.database, config.folder, now, replace=replace, password=password)
    local = now.astimezone(ZoneInfo(config.time_zone))
    with open_stores(farm.database, config.folder, password) as stores:
        done = stores.runs.sent_on(local.date()) or stores.runs.missed_on(local.date())
        if done or local.time() < farm.send_at:
            return told, None
        stores.runs.give_up(local.date(), now)
    return told, local.date()
