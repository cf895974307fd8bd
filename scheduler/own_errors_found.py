"""The errors of lows that a farm's database holds, looked at without changing anything."""

from pathlib import Path

from config.farm_config import FarmConfig
from scheduler.opening import moment_of
from scheduler.own_errors import kept_lines
from storage.database import place_of
from storage.errors import StorageError
from storage.looked_at import NoDatabaseYetError, opened_as_it_is
from storage.own_error_store import OwnErrorStore


def own_errors_found(config: FarmConfig) -> list[str]:
    """A line for each source whose errors are kept; none where there is no database file.

    A server is not asked: a config can be checked where there is no network.
    """
    place = config.settings.farm.database
    if not isinstance(place_of(place, config.folder), Path):
        return []
    try:
        database = opened_as_it_is(place, config.folder)
    except NoDatabaseYetError:
        return []
    except StorageError as fault:
        return [f"Own errors of lows: not known: {fault}"]
    try:
        kept = OwnErrorStore(database).standing(moment_of(config, None))
    except StorageError as fault:
        return [f"Own errors of lows: not used, they cannot be read: {fault}"]
    finally:
        database.close()
    return kept_lines(config, kept)
