"""A farm opened for one command: its config, its database, and the time to work with."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from difflib import get_close_matches
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from scheduler.clock import now_utc
from scheduler.data_error import DataError

if TYPE_CHECKING:
    from config.farm_config import FarmConfig
    from farm.field import Field
    from storage.stores import Stores

#: How far a time must lie back to be the past, whose forecasts can no longer be asked for.
PAST = timedelta(hours=1)


@dataclass(frozen=True)
class OpenFarm:
    """What a command needs. ``now`` is aware, in UTC; ``zone`` is the farm's. ``past`` marks a
    time that was asked for and lies back by the farm's own clock.
    """

    config: "FarmConfig"
    stores: "Stores"
    now: datetime
    zone: ZoneInfo
    past: bool = False

    @property
    def today(self) -> date:
        """The farm's local date."""
        return self.now.astimezone(self.zone).date()

    @property
    def fields_by_id(self) -> dict[str, "Field"]:
        """The registered fields."""
        return {field.id: field for field in self.config.fields}


def load_config(config_path: Path) -> "FarmConfig":
    """The farm's config; ConfigError with every fault of it."""
    from config.load import load

    return load(config_path)


def moment_of(config: "FarmConfig", at: str | None) -> datetime:
    """The time to work with: ``at``, else the farm's replayed clock, else now."""
    replay = config.settings.replay
    return now_utc(at, replay.at if replay else None, ZoneInfo(config.time_zone))


@contextmanager
def open_farm(config_path: Path, at: str | None = None) -> Iterator[OpenFarm]:
    """Open a farm and close its database at the end.

    Raises
    ------
    ConfigError, ClockError, StorageError
        What is wrong with the config, the time asked for, or the database.
    """
    config = load_config(config_path)
    now = moment_of(config, at)
    past = at is not None and now < moment_of(config, None) - PAST
    from storage.stores import open_stores

    password = config.secrets.database_password
    with open_stores(config.settings.farm.database, config.folder, password) as stores:
        yield OpenFarm(config, stores, now, ZoneInfo(config.time_zone), past)


def find_field(text: str, fields: dict[str, "Field"]) -> "Field":
    """The field with an id, or with a name that no other has; letters' case is no matter.

    Raises
    ------
    DataError
        None, or several by that name.
    """
    if text in fields:
        return fields[text]
    asked = text.strip().casefold()
    by_id = [one for one in fields.values() if one.id.casefold() == asked]
    found = by_id or [one for one in fields.values() if one.name.casefold() == asked]
    if len(found) == 1:
        return found[0]
    if found:
        ids = ", ".join(one.id for one in found)
        raise DataError([f'field: got "{text}", which {len(found)} fields are called; say {ids}'])
    spellings = {one.name.casefold(): one.name for one in fields.values()}
    spellings |= {one.id.casefold(): one.id for one in fields.values()}
    close = get_close_matches(asked, spellings, n=1, cutoff=0.5)
    hint = f'did you mean "{spellings[close[0]]}"?' if close else "see warmspell rank for all"
    raise DataError([f'field: got "{text}", wanted the id or name of a registered field; {hint}'])
