"""The demo farm on disk: its file, its fields and the provider's answers."""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from farm.records import Spray, Visit
from scheduler.demo.cells import CELLS, Cell
from scheduler.demo.farm_file import farm_text
from scheduler.demo.ground import inside_point
from scheduler.demo.nws_form import gridpoints_name, points_answer, points_name
from scheduler.demo.place import Plot, plots
from scheduler.demo.scouting import sprays, visits

#: Name of the invented co-op.
DEMO_NAME = "Kettle Draw Co-op"
#: The demo's morning: 6:10 am, Tuesday 6 October 2026 on the farm's clock.
REPLAY_UTC = datetime(2026, 10, 6, 11, 10, tzinfo=UTC)
#: Time zone of every invented field.
TIME_ZONE = "America/Chicago"


@dataclass(frozen=True)
class DemoFarm:
    """Where a written farm lies, its clock, and the records that belong in its database."""

    folder: Path
    config_path: Path
    fields_path: Path
    answers_path: Path
    replay_utc: datetime
    visits: tuple[Visit, ...] = ()
    sprays: tuple[Spray, ...] = ()


def write_demo_farm(folder: Path) -> DemoFarm:
    """Write the invented co-op below ``folder``; the same bytes every time.

    The database is left to the caller, who puts ``visits`` and ``sprays`` into it.
    """
    return write_farm(
        folder, DEMO_NAME, plots(), CELLS, visits=visits(REPLAY_UTC), sprays=sprays(REPLAY_UTC)
    )


def write_farm(
    folder: Path,
    name: str,
    fields: Iterable[Plot],
    cells: Mapping[str, Cell],
    visits: tuple[Visit, ...] = (),
    sprays: tuple[Spray, ...] = (),
) -> DemoFarm:
    """Write a recorded farm of ``fields`` lying in ``cells``, named by the fields' ``cell``.

    Raises
    ------
    KeyError
        A field names a cell that is not there.
    """
    written = DemoFarm(
        folder=folder,
        config_path=folder / "farm.toml",
        fields_path=folder / "fields.geojson",
        answers_path=folder / "answers",
        replay_utc=REPLAY_UTC,
        visits=visits,
        sprays=sprays,
    )
    written.answers_path.mkdir(parents=True, exist_ok=True)
    written.config_path.write_text(farm_text(name, REPLAY_UTC), encoding="utf-8")
    features = []
    for plot in fields:
        cell = cells[plot.cell]
        ring = plot.outline(cell)
        features.append(_feature(plot, ring))
        latitude, longitude = inside_point(ring)
        answer = points_answer(latitude, longitude, cell.spot, TIME_ZONE)
        _write_json(written.answers_path / points_name(latitude, longitude), answer)
    _write_features(written.fields_path, features)
    for cell in cells.values():
        _write_json(written.answers_path / gridpoints_name(cell.spot), cell.answer())
    return written


def _feature(plot: Plot, ring: Iterable[tuple[float, float]]) -> dict[str, Any]:
    properties: dict[str, Any] = {
        "id": plot.id,
        "name": plot.name,
        "grower_id": plot.grower_id,
        "treatment_id": plot.treatment_id,
        "planted_on": plot.planted_on.isoformat(),
    }
    if plot.region:
        properties["region"] = plot.region
    if plot.acres_stated:
        properties["acres"] = plot.acres
    if plot.cold_spot_f:
        properties["cold_spot_f"] = plot.cold_spot_f
    geometry = {"type": "Polygon", "coordinates": [[list(corner) for corner in ring]]}
    return {"type": "Feature", "properties": properties, "geometry": geometry}


def _write_features(path: Path, features: list[dict[str, Any]]) -> None:
    # One feature a line, so that a field can be found and changed by hand.
    lines = ",\n".join(json.dumps(feature) for feature in features)
    text = f'{{"type": "FeatureCollection", "features": [\n{lines}\n]}}\n'
    path.write_text(text, encoding="utf-8")


def _write_json(path: Path, answer: dict[str, Any]) -> None:
    path.write_text(json.dumps(answer), encoding="utf-8")
