"""A starter farm to fill in: one configuration and one fields file, every key explained."""

from importlib.resources import files
from pathlib import Path

from config.problem import ConfigError, Problem

STARTER_FILES = ("farm.toml", "fields.csv")


def write_starter(folder: Path) -> list[Path]:
    """Write the starter into ``folder``, which is made if need be.

    Returns
    -------
    list of Path
        The files written.

    Raises
    ------
    ConfigError
        One of them exists already, or cannot be written; nothing is overwritten.
    """
    paths = [folder / name for name in STARTER_FILES]
    there = [path for path in paths if path.exists() or path.is_symlink()]
    if there:
        words = (
            "got a file that is already there, wanted none; nothing was written: give a new folder"
        )
        raise ConfigError([str(Problem(str(path), 1, "file", words)) for path in there])
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for path in paths:
            with path.open("xb") as file:
                file.write((files("config") / "starter" / path.name).read_bytes())
    except OSError as error:
        reason = (error.strerror or "no reason given").lower()
        words = f"got a folder that cannot be written ({reason}); give another one"
        raise ConfigError([str(Problem(str(folder), 1, "file", words))]) from error
    return paths
