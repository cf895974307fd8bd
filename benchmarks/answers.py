"""A big invented farm for timing: many fields, many cells, the provider's own form of answer.

Run by itself it writes one: ``python -m benchmarks.answers DIR``.
"""

import sys
from collections.abc import Sequence
from datetime import date, timedelta
from pathlib import Path
from uuid import UUID

import numpy as np

from benchmarks import recipients
from farm.records import Visit
from scheduler.demo.cells import Cell
from scheduler.demo.ground import Shape
from scheduler.demo.place import Plot
from scheduler.demo.weather import CellWeather
from scheduler.demo.write import REPLAY_UTC, DemoFarm, write_farm

#: Fields that fit in one cell.
FIELDS_A_CELL = 4
#: Seed of every benchmark farm, so that two runs time the same work.
SEED = 20261006

_SHAPES: tuple[tuple[Shape, int, int], ...] = (
    ("square", 40, 158),
    ("eighty", 40, 80),
    ("pivot", 60, 125),
    ("quarter_circle", 60, 124),
    ("cut_corner", 60, 140),
)
_GROWERS = ("hallock", "quillen", "aldama")
_TREATMENTS = ("aid-12", "aid-24")


def write_benchmark_farm(
    folder: Path,
    fields: int = 300,
    cells: int = 150,
    seed: int = SEED,
    people: int | None = None,
) -> DemoFarm:
    """Write a farm of ``fields`` in ``cells`` below ``folder``, the same for the same seed.

    With ``people`` it has so many readers, most of them growers with fields of their own; without,
    it has the readers of the demo farm.

    Raises
    ------
    ValueError
        More fields than the cells can hold, or fewer fields or cells than one.
    """
    if not 1 <= fields <= FIELDS_A_CELL * cells:
        raise ValueError(
            f"fields: got {fields} in {cells} cells, wanted 1 to {FIELDS_A_CELL} a cell; "
            "ask for more cells"
        )
    rng = np.random.default_rng(seed)
    grid = {f"cell-{n}": _cell(n, cells, rng) for n in range(cells)}
    growers = recipients.grower_ids(people) if people else _GROWERS
    plots = [_plot(n, cells, growers, rng) for n in range(fields)]
    visits = tuple(_visit(plot.id, rng) for plot in plots if rng.random() > 0.05)
    farm = write_farm(folder, "Benchmark farm", plots, grid, visits=visits)
    if people:
        recipients.put_in(farm.config_path, people, fields)
    return farm


def _cell(number: int, cells: int, rng: np.random.Generator) -> Cell:
    width = max(1, round(np.sqrt(1.5 * cells)))
    weather = CellWeather(
        high_offset_f=float(rng.integers(-3, 4)),
        low_offset_f=float(rng.integers(-3, 4)),
        dew_offset_f=float(rng.integers(-2, 3)),
        clear_night_drop_f=float(rng.integers(0, 5)),
        wind_extra_kt=float(rng.integers(0, 3)),
        blown_out_kt=float(rng.choice([0, 0, 0, 6])),
        rain_frac=round(float(rng.uniform(0.3, 1.4)), 2),
    )
    return Cell(number % width, number // width, float(rng.integers(640, 900)), weather)


def _plot(number: int, cells: int, growers: Sequence[str], rng: np.random.Generator) -> Plot:
    shape, least, most = _SHAPES[int(rng.integers(len(_SHAPES)))]
    return Plot(
        id=f"field-{number:03d}",
        name=f"Field {number}",
        grower_id=growers[number % len(growers)],
        treatment_id=_TREATMENTS[int(rng.integers(len(_TREATMENTS)))],
        cell=f"cell-{number % cells}",
        slot=number // cells,
        shape=shape,
        acres=float(rng.integers(least, most + 1)),
        planted_on=date(2026, 5, 1) + timedelta(days=int(rng.integers(0, 36))),
        cold_spot_f=float(rng.choice([0, 0, 0, 2, 4])),
    )


def _visit(field_id: str, rng: np.random.Generator) -> Visit:
    nodes = round(float(rng.uniform(0.5, 9.0)), 1)
    percent_open = round(float(np.clip(96 - 8.5 * nodes + rng.normal(0, 4), 5, 98)))
    return Visit(
        uuid=UUID(bytes=rng.bytes(16), version=4),
        field_id=field_id,
        observed_utc=REPLAY_UTC - timedelta(hours=int(rng.integers(8, 240))),
        scout="Ivy Castellan",
        plants_counted=10,
        nodes_above_cracked_boll=nodes,
        percent_open=percent_open,
    )


if __name__ == "__main__":
    write_benchmark_farm(Path(sys.argv[1]))
