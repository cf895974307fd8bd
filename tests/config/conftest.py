"""A small sound farm to break in one place at a time."""

import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from config.load import load
from config.problem import ConfigError

GOOD = Path(__file__).parent / "good"


@dataclass(frozen=True)
class FarmFolder:
    """A copy of the sound farm, its files edited by replacing text that must occur once."""

    folder: Path

    @property
    def toml(self) -> Path:
        return self.folder / "farm.toml"

    def edit(self, old: str, new: str, name: str = "farm.toml") -> None:
        path = self.folder / name
        text = path.read_text("utf-8")
        assert text.count(old) == 1, f"{old!r} occurs {text.count(old)} times"
        path.write_text(text.replace(old, new), "utf-8")

    def write(self, name: str, content: str | bytes) -> Path:
        path = self.folder / name
        path.write_bytes(content.encode() if isinstance(content, str) else content)
        return path

    def use_fields(self, name: str, content: str | bytes) -> None:
        """Replace the fields file and drop what the farm says about single fields."""
        self.write(name, content)
        self.edit('"fields.csv"', f'"{name}"')
        self.edit("[field_rules.N1.maturity]\nnacb_max = 3\n", "\n\n")

    def faults(self) -> list[str]:
        """Every fault, with the name of the file but not of its folder."""
        with pytest.raises(ConfigError) as caught:
            load(self.toml, {})
        return [line.replace(f"{self.folder}/", "") for line in caught.value.lines]

    def warnings(self) -> list[str]:
        return [line.replace(f"{self.folder}/", "") for line in load(self.toml, {}).warnings]


@pytest.fixture
def farm(tmp_path: Path) -> FarmFolder:
    for name in ("farm.toml", "fields.csv"):
        shutil.copy(GOOD / name, tmp_path / name)
    return FarmFolder(tmp_path)


@pytest.fixture
def feature() -> Callable[..., dict[str, object]]:
    """Makes a GeoJSON feature of the sound farm."""

    def make(geometry: object, **properties: object) -> dict[str, object]:
        given = {"id": "N1", "name": "North 1", "grower_id": "north", "treatment_id": "mix"}
        return {"type": "Feature", "properties": given | properties, "geometry": geometry}

    return make
