"""Many scouts at once: how long each waits until a visit of theirs is kept for good."""

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from multiprocessing import get_context
from pathlib import Path
from typing import Any
from uuid import UUID, uuid5

from farm.records import Visit

#: The moment of every visit, and the space its invented identifiers are drawn from.
NOW = datetime(2026, 10, 6, 11, 10, tzinfo=UTC)
SPACE = UUID("5f2f6b0e-6c1e-4c53-9b51-7d2f0c7e91aa")


@dataclass(frozen=True)
class Waits:
    """Seconds from handing a visit over until it is acknowledged, and what went wrong."""

    how: str
    waited_s: tuple[float, ...]
    faults: tuple[str, ...]
    kept: int

    def share_s(self, percent: float) -> float:
        """The wait that so many in a hundred do not pass [s], by the nearest rank."""
        ordered = sorted(self.waited_s)
        return ordered[max(0, -(-len(ordered) * int(percent) // 100) - 1)]


def in_threads(folder: Path, scouts: int, each: int) -> Waits:
    """Scouts of one program, as a board has them: a thread each, on one open database."""
    from storage.stores import open_stores

    begin, waited, faults = threading.Barrier(scouts), [], []  # type: ignore[var-annotated]
    with open_stores("scouts.sqlite3", folder) as stores:

        def scout(number: int) -> None:
            begin.wait()
            took, wrong = _visits(stores, f"thread {number}", each)
            waited.extend(took)
            faults.extend(wrong)

        threads = [threading.Thread(target=scout, args=(n,)) for n in range(scouts)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        kept = len(stores.visits.all())
    return Waits(f"{scouts} threads of one program", tuple(waited), tuple(faults), kept)


def in_processes(folder: Path, scouts: int, each: int) -> Waits:
    """Scouts at commands of their own: a process each, with the database opened for itself."""
    from storage.stores import open_stores

    context = get_context("forkserver")
    context.set_forkserver_preload(["benchmarks.scouts", "storage.stores"])
    begin, told = context.Barrier(scouts), context.Queue()
    with open_stores("commands.sqlite3", folder):
        pass
    given = [(folder, f"process {n}", each, begin, told) for n in range(scouts)]
    processes = [context.Process(target=_command, args=one) for one in given]
    for process in processes:
        process.start()
    answers = [told.get(timeout=300) for _ in processes]
    for process in processes:
        process.join()
    with open_stores("commands.sqlite3", folder) as stores:
        kept = len(stores.visits.all())
    waited = tuple(one for took, _ in answers for one in took)
    faults = tuple(one for _, wrong in answers for one in wrong)
    return Waits(f"{scouts} programs", waited, faults, kept)


def _command(folder: Path, name: str, each: int, begin: Any, told: Any) -> None:
    from storage.stores import open_stores

    with open_stores("commands.sqlite3", folder) as stores:
        begin.wait()
        told.put(_visits(stores, name, each))


def _visits(stores: Any, name: str, each: int) -> tuple[list[float], list[str]]:
    add: Callable[..., int] = stores.visits.add
    waited, faults = [], []
    for number in range(each):
        visit = Visit(
            uuid=uuid5(SPACE, f"{name} {number}"),
            field_id=f"field-{number:03d}",
            observed_utc=NOW,
            scout=name,
            plants_counted=10,
            nodes_above_cracked_boll=4.0,
        )
        began_s = time.perf_counter()
        try:
            add([visit], NOW)
        except Exception as fault:
            faults.append(f"{name}: {fault}")
        else:
            waited.append(time.perf_counter() - began_s)
    return waited, faults
