"""Three mature fields in three cells, whose forecasts come over HTTP from this machine."""

import json
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from forecasts.interval import hour_utc, hours_of
from scheduler.commands import run as warmspell
from scheduler.demo.cells import CELLS
from scheduler.demo.place import plots
from scheduler.demo.scouting import visits
from scheduler.demo.write import REPLAY_UTC, write_farm
from storage.stores import open_stores
from tests.acceptance.weather_service import Service, serving

#: The fields and their cells; all three are sprayed in the demo.
GIN, NORTH, SOUTH = "windmill", "bench-north", "south-pivot"
CELL_OF = {plot.id: CELLS[plot.cell].spot for plot in plots()}


def cell_path(field_id: str) -> str:
    """Where the service tells a field's forecast."""
    spot = CELL_OF[field_id]
    return f"/gridpoints/{spot.office}/{spot.x},{spot.y}"


def cell_file(field_id: str) -> str:
    """The file of a field's forecast."""
    return cell_path(field_id).strip("/").replace("/", "_") + ".json"


@dataclass(frozen=True)
class Told:
    """What a morning said: exit code, JSON, stderr."""

    code: int
    report: dict[str, Any]
    err: str

    @property
    def calls(self) -> dict[str, str]:
        """The call of each field."""
        return {one["field_id"]: one["call"] for one in self.report["fields"]}

    def of(self, field_id: str) -> dict[str, Any]:
        """Everything about one field."""
        return next(one for one in self.report["fields"] if one["field_id"] == field_id)


@dataclass(frozen=True)
class FeedFarm:
    """The farm, its weather service, and a way to run its morning."""

    folder: Path
    service: Service
    capsys: Any

    def morning(self, at: str | None = None, dry: bool = True) -> Told:
        """One morning; nothing is ever sent, the farm has no channels."""
        told = [*(("--at", at) if at else ()), *(("--dry-run",) if dry else ())]
        self.capsys.readouterr()
        code = warmspell(["morning", "--json", "--config", str(self.folder / "farm.toml"), *told])
        said = self.capsys.readouterr()
        assert "Traceback" not in said.err
        return Told(code, json.loads(said.out, parse_constant=_none_of_these), said.err)

    def text(self, field_id: str) -> str:
        """What ``explain`` says of a field."""
        self.capsys.readouterr()
        warmspell(["explain", field_id, "--config", str(self.folder / "farm.toml")])
        return str(self.capsys.readouterr().out)

    def reset_settings(self, **settings: object) -> None:
        """Change settings of [forecast]."""
        config = self.folder / "farm.toml"
        lines = [f"{name} = {json.dumps(value)}" for name, value in settings.items()]
        names = tuple(f"{name} =" for name in settings)
        kept = [one for one in config.read_text().splitlines() if not one.startswith(names)]
        at = kept.index("[forecast]") + 1
        config.write_text("\n".join([*kept[:at], *lines, *kept[at:]]))


def _none_of_these(word: str) -> None:
    raise AssertionError(f"JSON for programs held {word}")


def write_feed_farm(folder: Path) -> Path:
    """The farm on disk with its visits, and nothing fetched yet."""
    wanted = [plot for plot in plots() if plot.id in (GIN, NORTH, SOUTH)]
    cells = {plot.cell: CELLS[plot.cell] for plot in wanted}
    seen = tuple(one for one in visits(REPLAY_UTC) if one.field_id in (GIN, NORTH, SOUTH))
    written = write_farm(folder, "Feed farm", wanted, cells, visits=seen)
    with open_stores("warmspell.sqlite3", folder) as stores:
        stores.visits.add(seen, REPLAY_UTC)
    return written.folder


@contextmanager
def feed_farm(made: Path, folder: Path, capsys: Any, tls: Any = None) -> Iterator[FeedFarm]:
    """A copy of the farm, asking a service of its own, impatiently."""
    shutil.copytree(made, folder)
    with serving(folder / "answers", tls) as service:
        config = folder / "farm.toml"
        text = config.read_text()
        text = text.replace('source = "folder"\npath = "answers"\n', 'source = "nws"\n')
        config.write_text(text)
        farm = FeedFarm(folder, service, capsys)
        farm.reset_settings(
            contact="office@feedfarm.example",
            address=service.address,
            read_timeout_s=0.3,
            answer_deadline_s=0.6,
            connect_timeout_s=0.5,
            tries=2,
        )
        yield farm


def issued(moment: datetime | str) -> Callable[[dict[str, Any]], None]:
    """Give an answer another time of issue."""

    def change(properties: dict[str, Any]) -> None:
        told = moment if isinstance(moment, str) else moment.isoformat()
        properties["updateTime"] = told

    return change


def hour_by_hour(properties: dict[str, Any], layer: str) -> dict[str, dict[str, Any]]:
    """Tell a layer hour by hour, and give its entries by hour."""
    entries = {}
    for told in properties[layer]["values"]:
        for hour in range(*hours_of(told["validTime"])):
            at = hour_utc(hour).isoformat()
            entries[at] = {"validTime": f"{at}/PT1H", "value": told["value"]}
    properties[layer]["values"] = list(entries.values())
    return entries
