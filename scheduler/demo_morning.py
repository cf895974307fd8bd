"""The demo: an invented farm written down, its records stored, and its morning run."""

import shlex
import shutil
import sys
from dataclasses import dataclass
from pathlib import Path

from dispatch.words import LocalClock, day
from notify.digest import Digest
from scheduler.data_error import DataError
from scheduler.demo.write import write_demo_farm
from scheduler.morning import MorningRun, decide_morning
from scheduler.opening import open_farm
from scheduler.operator_view import operator_digest
from scheduler.rigs_of_morning import rig_planner
from scheduler.written_morning import write_morning


@dataclass(frozen=True)
class DemoMorning:
    """What the demo made, for the person who ran it."""

    config_path: Path
    digest: Digest
    digests_folder: Path
    clock: str
    try_next: tuple[str, ...]


def new_folder(asked: Path | None, usual: Path) -> Path:
    """The folder to write a demo farm into: ``asked``, else the first unused one named ``usual``.

    Raises
    ------
    DataError
        The folder asked for holds something; nothing is ever written over.
    """
    if asked is not None:
        if asked.exists() and any(asked.iterdir()):
            raise DataError(
                [f"{asked}: got a folder that is not empty, wanted a new one; name another"]
            )
        return asked
    place, number = usual, 1
    while place.exists():
        number += 1
        place = usual.with_name(f"{usual.name}-{number}")
    return place


def demo_morning(folder: Path) -> DemoMorning:
    """Write the invented farm into ``folder`` and run its morning, without sending anything."""
    written = write_demo_farm(folder)
    with open_farm(written.config_path) as farm:
        farm.stores.visits.add(written.visits, farm.now)
        for spray in written.sprays:
            farm.stores.sprays.add(spray, farm.now)
        rigs = rig_planner(farm, lambda: farm.now)
        run = decide_morning(farm.config, farm.stores, farm.now, rigs=rigs)
        farm.stores.plans.keep(run.report, run.inputs)
        if run.rigs and run.rigs.plan:
            farm.stores.route_plans.keep(run.rigs.plan, farm.now)
        digest = operator_digest(run, farm.config)
    digests = folder / "digests"
    write_morning(digests, run)
    figures = run.report.run
    clock = LocalClock(figures.time_zone, figures.time_zone, figures.local_date)
    return DemoMorning(
        config_path=written.config_path,
        digest=digest,
        digests_folder=digests,
        clock=f"{clock.hour(figures.made_utc)} of {day(figures.local_date)}",
        try_next=_try_next(written.config_path, run),
    )


def own_name() -> str:
    """How to call this program from here: by name where the shell finds it, else by its path."""
    called = sys.argv[0]
    found = shutil.which("warmspell") or Path(called).name != "warmspell"
    return "warmspell" if found else shlex.quote(called)


def _try_next(config_path: Path, run: MorningRun) -> tuple[str, ...]:
    ranked = [one for one in run.report.fields if one.rank == 1]
    first = ranked[0] if ranked else run.report.fields[0]
    name, config = shlex.quote(first.field.name), f"--config {shlex.quote(str(config_path))}"
    warmspell = own_name()
    return (
        f"{warmspell} explain {name} {config}",
        f"{warmspell} rank {config}",
        f"{warmspell} scout due {config}",
        f"{warmspell} scout add {name} --nacb 3 --open 70 --plants 12 {config}",
        f"{warmspell} morning --dry-run {config}",
        f"{warmspell} serve {config}",
    )
