"""A whole morning to the last mail: 1,000 readers, 5,000 fields in 2,500 cells.

    python -m benchmarks.delivery [--people 1000] [--fields 5000] [--cells 2500] [--scouts 50]

The real code runs the first morning of a farm: answers from a folder, every call, every digest
with its check, the outbox, and the hand-over to a mail server on loopback. Prints how long each
step takes, on the clock and of the processor, and the most memory held when it ends; then how
long scouts wait who report at once, as threads of one program (the goal) and as programs of their
own (shown beside it). Ends with 1 where a goal is missed, with how far. On a busy machine the
processor's seconds tell more than the clock's. Asking over a network is not in it: that takes one
request a cell, at the pace the weather service is asked at, and the last line says how long.
"""

import argparse
import os
import resource
import shutil
import sys
import tempfile
import time
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from benchmarks import recipients
from benchmarks.mail_server import MailServer, mail_server
from benchmarks.morning import steps_watched, write_in_another_process

if TYPE_CHECKING:
    from benchmarks.scouts import Waits
    from scheduler.one_morning import Morning

#: Goals: all queued and all handed over [s], most memory [MB], wait of a scout [s].
QUEUED_S, HANDED_OVER_S, MEMORY_MB, SCOUT_P95_S = 300.0, 900.0, 500.0, 0.250
STEPS = (
    *("readable_records", "ask", "learn_asides", "judge_maturity"),
    *("rank_fields", "write_digests", "kept_inputs", "messages_of", "hand_over"),
)


class Step(NamedTuple):
    """What a step took of the clock and of the processor [s], and the most held by its end [MB]."""

    clock_s: float
    processor_s: float
    held_mb: float


Table = dict[str, Step]


def main() -> None:
    """Write the farm, run its morning, let the scouts report, print and judge."""
    told = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    told.add_argument("--people", type=int, default=1000)
    told.add_argument("--fields", type=int, default=5000)
    told.add_argument("--cells", type=int, default=2500)
    told.add_argument("--scouts", type=int, default=50)
    told.add_argument("--visits", type=int, default=20, help="visits each scout reports")
    asked = told.parse_args()
    os.environ[recipients.LINK_KEY_ENV] = recipients.LINK_KEY
    folder = Path(tempfile.mkdtemp(prefix="warmspell-benchmark-"))
    try:
        write_in_another_process(folder, asked.fields, asked.cells, asked.people)
        missed = _deliver(folder, asked)
        missed += _report(folder, asked)
    finally:
        shutil.rmtree(folder)
    for line in missed:
        print(f"MISSED: {line}")
    sys.exit(1 if missed else 0)


def _deliver(folder: Path, asked: argparse.Namespace) -> list[str]:
    taken: Table = {}
    with mail_server() as server:
        _add_mail(folder / "farm.toml", server)
        began = _now()
        with steps_watched(STEPS, lambda name, step: _step(name, step, taken)):
            morning = _morning(folder / "farm.toml", taken)
        whole = _since(began)
        sizes = server.taken().sizes
    sending_s = taken["hand_over"].clock_s
    # What follows the hand-over, such as letting old issues go, counts as before it: it is short.
    queued_s, whole_s = whole.clock_s - sending_s, whole.clock_s
    print(f"{asked.people} readers, {asked.fields} fields, {asked.cells} cells")
    _print_steps(taken, whole)
    _print_sizes(sizes, sending_s, folder)
    print(f"    queued after {queued_s:.0f} s, handed over after {whole_s:.0f} s")
    _print_network(folder / "farm.toml", asked.cells)
    return [
        *_wrong(morning, sizes, asked.people),
        *_over("all messages queued", queued_s, QUEUED_S, "s"),
        *_over("all messages handed over", whole_s, HANDED_OVER_S, "s"),
        *_over("most memory held", whole.held_mb, MEMORY_MB, "MB"),
    ]


def _add_mail(config_path: Path, server: MailServer) -> None:
    with config_path.open("a", encoding="utf-8") as file:
        file.write(
            f'[mail]\nhost = "127.0.0.1"\nport = {server.port}\nsecurity = "plain"\n'
            'sender = "digest@example.org"\n'
        )


def _step(name: str, step: Any, taken: Table) -> Any:
    def watched(*given: Any, **named: Any) -> Any:
        began = _now()
        try:
            return step(*given, **named)
        finally:
            taken[name] = _since(began)

    return watched


def _now() -> tuple[float, float]:
    return time.perf_counter(), time.process_time()


def _since(began: tuple[float, float]) -> Step:
    clock_s, processor_s = _now()
    return Step(clock_s - began[0], processor_s - began[1], _memory_mb())


def _morning(config_path: Path, taken: Table) -> "Morning":
    from scheduler.channels import channels_of
    from scheduler.clock import going_on_from
    from scheduler.one_morning import carry_out
    from scheduler.opening import open_farm

    began = _now()
    with open_farm(config_path) as farm:
        taken["open the farm"] = _since(began)
        clock = going_on_from(farm.now)
        plan = farm.stores.deliveries.plan
        farm.stores.deliveries.plan = _step("plan outbox", plan, taken)  # type: ignore[method-assign]
        channels = channels_of(farm, clock)
        return carry_out(farm, channels, "benchmark", farm.today, clock=clock)


def _memory_mb() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def _print_steps(taken: Table, whole: Step) -> None:
    rest_s = whole.clock_s - sum(one.clock_s for one in taken.values())
    rest_processor_s = whole.processor_s - sum(one.processor_s for one in taken.values())
    print(f"    {'step':18}{'clock s':>9}{'processor s':>13}{'most MB by then':>17}")
    rows = {**taken, "the rest": Step(rest_s, rest_processor_s, whole.held_mb), "all": whole}
    for name, (clock_s, processor_s, held_mb) in rows.items():
        print(f"    {name:18}{clock_s:9.2f}{processor_s:13.2f}{held_mb:17.0f}")


def _print_sizes(sizes: dict[str, list[int]], sending_s: float, folder: Path) -> None:
    staff = [one for address, each in sizes.items() if address.startswith("staff") for one in each]
    growers = [one for address, each in sizes.items() if address[:5] != "staff" for one in each]
    count = len(staff) + len(growers)
    print(f"    {count} mails, {count / sending_s:.0f} a second while handing over")
    for name, each in (("with every field", staff), ("with own fields", growers)):
        if each:
            mean_kb = sum(each) / len(each) / 1000
            print(
                f"    {len(each):5} mails {name}: {mean_kb:.0f} kB on average, "
                f"{max(each) / 1000:.0f} kB at most"
            )
    files = sum(file.stat().st_size for file in folder.glob("warmspell.sqlite3*"))
    print(f"    the database holds {files / 1e6:.0f} MB")


def _print_network(config_path: Path, cells: int) -> None:
    from config.load import load

    told = load(config_path).settings.forecast
    print(
        f"    not in it: over a network {cells} cells take "
        f"{cells / told.requests_per_second:.0f} s more at {told.requests_per_second:g} requests a "
        f"second; a morning asks for {told.total_deadline_s:.0f} s at most"
    )


def _wrong(morning: "Morning", sizes: dict[str, list[int]], people: int) -> list[str]:
    """What makes the figures worthless: mails missing, twice, or no more than a notice."""
    unwritten = [digest for digest in morning.run.digests if digest.faults]
    twice = [address for address, each in sizes.items() if len(each) != 1]
    lines = [f"{one.person.id}: {one.faults[0]}" for one in unwritten[:3]]
    if len(sizes) != people or twice:
        lines.append(f"{len(sizes)} readers of {people} have a mail, {len(twice)} have two or more")
    if morning.delivery.sent != people:
        lines.append(f"{morning.delivery.sent} mails of {people} are marked as sent")
    return lines


def _report(folder: Path, asked: argparse.Namespace) -> list[str]:
    from benchmarks.scouts import in_processes, in_threads

    print(f"\n{asked.scouts} scouts at once, {asked.visits} visits each, one after the other")
    print(f"    {'':28}{'p50 ms':>8}{'p95 ms':>8}{'most ms':>9}{'kept':>7}{'faults':>8}")
    board = in_threads(folder, asked.scouts, asked.visits)
    missed = _print_waits(board, asked.scouts * asked.visits)
    missed += _over(f"{board.how}: wait of 95 in 100", board.share_s(95), SCOUT_P95_S, "s")
    commands = in_processes(folder, asked.scouts, asked.visits)
    return missed + _print_waits(commands, asked.scouts * asked.visits)


def _print_waits(waits: "Waits", visits: int) -> list[str]:
    half, most, worst = (1000 * waits.share_s(percent) for percent in (50, 95, 100))
    print(
        f"    {waits.how:28}{half:8.0f}{most:8.0f}{worst:9.0f}{waits.kept:7}{len(waits.faults):8}"
    )
    lost = [f"{waits.how}: {waits.kept} of {visits} visits kept"] if waits.kept != visits else []
    return [*waits.faults[:3], *lost]


def _over(what: str, got: float, goal: float, unit: str) -> list[str]:
    return [f"{what}: {got:.3g} {unit}, the goal is under {goal:g} {unit}"] if got >= goal else []


if __name__ == "__main__":
    main()
