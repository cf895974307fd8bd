"""A farm whose plans of rigs are searched for a moment only."""

from pathlib import Path


def quick(farm_folder: Path) -> Path:
    """The farm of a folder, set to search for a tenth of a second."""
    config = farm_folder / "farm.toml"
    config.write_text(config.read_text("utf-8") + "\n[routes]\nsearch_s = 0.1\n", "utf-8")
    return farm_folder
