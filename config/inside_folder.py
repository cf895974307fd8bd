"""Files the configuration names must lie in its own folder, so that it can be moved whole."""

from pathlib import Path


def inside_folder(folder: Path, name: str, absolute_allowed: bool = False) -> Path:
    """The file ``name`` below ``folder``.

    Parameters
    ----------
    folder
        Folder of the configuration.
    name
        The name as written in it.
    absolute_allowed
        Whether a full path is taken as it stands.

    Raises
    ------
    ValueError
        The name leads out of the folder, directly or through a link.
    """
    if Path(name).is_absolute() or name.startswith(("/", "\\", "~")):
        if absolute_allowed and Path(name).is_absolute():
            return Path(name)
        raise ValueError(
            f'got "{name[:60]}", wanted a name inside the folder of this file; '
            "move it there and give its name alone"
        )
    whole = folder / name
    if "\0" in name or not whole.resolve().is_relative_to(folder.resolve()):
        raise ValueError(
            f'got "{name[:60]}", which leads out of the folder of this file; '
            "move it into the folder and give its name alone"
        )
    return whole
