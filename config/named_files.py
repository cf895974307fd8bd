"""Names of files and addresses in the configuration: do they stay where they may?"""

import re
from collections.abc import Iterator
from pathlib import Path

from config.inside_folder import inside_folder
from config.key_path import Path as KeyPath
from config.key_path import value_at
from config.masked import shown
from config.settings import Settings

#: Path of the key, and whether a full path is allowed there.
_NAMED: tuple[tuple[KeyPath, bool], ...] = (
    (("farm", "fields"), False),
    (("farm", "database"), True),
    (("forecast", "path"), False),
    (("routes", "miles"), False),
)

#: Between user and host, as database addresses are read, or by name behind the question mark.
_PASSWORD = re.compile(r"^[^:]+://[^:/@?]*:[^@?]*@|[?&](ssl)?password=", re.IGNORECASE)


def file_faults(raw: dict[str, object], folder: Path) -> Iterator[tuple[KeyPath, str]]:
    """Names that lead out of the folder, and database addresses that hold a password."""
    for path, absolute_allowed in _NAMED:
        named = value_at(raw, path)
        if not isinstance(named, str) or not named:
            continue
        if path[-1] == "database" and "://" in named:
            yield from _address_fault(path, named)
            continue
        try:
            inside_folder(folder, named, absolute_allowed)
        except ValueError as error:
            yield path, str(error)


def _address_fault(path: KeyPath, address: str) -> Iterator[tuple[KeyPath, str]]:
    kind = address.partition("://")[0].partition("+")[0]
    if kind not in ("sqlite", "postgresql"):
        yield (
            path,
            f"got an address of a {shown(kind)} server, wanted a file or "
            "postgresql+psycopg://USER@HOST/NAME",
        )
    elif _PASSWORD.search(address):
        yield (
            path,
            f"got {shown(address)} with a password, wanted none in this file; put it in an "
            "environment variable and name that with database_password_env",
        )


def file_warnings(settings: Settings, folder: Path) -> Iterator[tuple[KeyPath, str]]:
    """A folder of recorded answers that is not there: the morning runs, but knows nothing."""
    named = settings.forecast.path
    if settings.forecast.source == "folder" and named and not (folder / named).is_dir():
        yield (
            ("forecast", "path"),
            f"got {shown(named)}, but there is no such folder; every call will be unknown",
        )
