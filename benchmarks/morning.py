"""A whole morning but network and sending: 300 fields in 150 cells from a folder of answers.

    python -m benchmarks.morning [--fields 300] [--cells 150] [--runs 3]

Prints the time each step takes, its share, and the most memory the process held. The goal is
under 5 s and under 400 MB for 300 fields; the first run of a process also pays for imports.
"""

import argparse
import resource
import shutil
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

STEPS = ("ask", "judge_maturity", "rank_fields", "write_digests")


def main() -> None:
    """Write the farm, run its morning a few times, print the table."""
    told = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    told.add_argument("--fields", type=int, default=300)
    told.add_argument("--cells", type=int, default=150)
    told.add_argument("--runs", type=int, default=3)
    asked = told.parse_args()
    folder = Path(tempfile.mkdtemp(prefix="warmspell-benchmark-"))
    try:
        write_in_another_process(folder, asked.fields, asked.cells)
        for run in range(1, asked.runs + 1):
            _print(run, asked.fields, asked.cells, _timed_morning(folder))
    finally:
        shutil.rmtree(folder)


def write_in_another_process(
    folder: Path, fields: int, cells: int, people: int | None = None
) -> None:
    """So that the memory of making up the farm is not counted to the morning."""
    from multiprocessing import get_context

    writer = get_context("spawn").Process(target=_write, args=(folder, fields, cells, people))
    writer.start()
    writer.join()
    if writer.exitcode:
        raise SystemExit("the benchmark farm could not be written")


def _write(folder: Path, fields: int, cells: int, people: int | None) -> None:
    from benchmarks.answers import write_benchmark_farm
    from config.load import load
    from storage.stores import open_stores

    farm = write_benchmark_farm(folder, fields, cells, people=people)
    config = load(farm.config_path)
    with open_stores(config.settings.farm.database, config.folder) as stores:
        stores.visits.add(farm.visits, farm.replay_utc)


def _timed_morning(folder: Path) -> dict[str, float]:
    taken: dict[str, float] = {}
    with steps_watched(STEPS, lambda name, step: _timed(name, step, taken)):
        begun = time.perf_counter()
        _morning(folder, taken)
        taken["whole morning"] = time.perf_counter() - begun
    return taken


@contextmanager
def steps_watched(
    steps: Sequence[str], watch: Callable[[str, Callable[..., Any]], Callable[..., Any]]
) -> Iterator[None]:
    """The steps of a morning, each in what ``watch`` makes of its name and function."""
    from scheduler import morning

    before = {name: getattr(morning, name) for name in steps}
    for name, step in before.items():
        setattr(morning, name, watch(name, step))
    try:
        yield
    finally:
        for name, step in before.items():
            setattr(morning, name, step)


def _timed(name: str, step: Callable[..., Any], taken: dict[str, float]) -> Callable[..., Any]:
    def run(*given: Any, **named: Any) -> Any:
        begun = time.perf_counter()
        try:
            return step(*given, **named)
        finally:
            taken[name] = taken.get(name, 0.0) + time.perf_counter() - begun

    return run


def _morning(folder: Path, taken: dict[str, float]) -> None:
    from config.load import load
    from scheduler.morning import decide_morning
    from storage.stores import open_stores

    config = _timed("load config", load, taken)(folder / "farm.toml")
    replay = config.settings.replay
    if replay is None:
        raise SystemExit("the benchmark farm has no clock")
    with open_stores(config.settings.farm.database, config.folder) as stores:
        run = decide_morning(config, stores, replay.at)
        _timed("keep plan", stores.plans.keep, taken)(run.report, run.inputs)


def _print(run: int, fields: int, cells: int, taken: dict[str, float]) -> None:
    whole = taken.pop("whole morning")
    taken["the rest"] = whole - sum(taken.values())
    memory_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"run {run}: {fields} fields, {cells} cells: {whole:.2f} s, at most {memory_mb:.0f} MB")
    for name, seconds in taken.items():
        print(f"    {name:16} {seconds:6.2f} s  {100 * seconds / whole:4.0f} %")


if __name__ == "__main__":
    main()
