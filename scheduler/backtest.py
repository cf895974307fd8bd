"""``warmspell verify --backtest``: our order against other rules over simulated seasons."""

import json
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict, dataclass
from multiprocessing import get_context
from os import cpu_count
from pathlib import Path

from dispatch.season.run import OURS, Outcome, run_block
from dispatch.season.score import RuleScore, scores
from scheduler import exit_codes
from scheduler.data_error import DataError
from scheduler.speaking import say, talk
from scheduler.tables import show_table

#: Seasons one process works through at a time.
BLOCK = 10

#: Endings of the pictures that can be drawn.
PICTURES = (".png", ".svg")

CAUTION = (
    "Weather, fields and the crop's response are simulated, so read differences between rules, "
    "not levels."
)
HEADERS = ("rule", "worth", "worst 5 %", "ours ahead by", "caught", "of them ripe")


@dataclass(frozen=True)
class Backtest:
    """What was run, and how each rule did."""

    seasons: int
    fields: int
    seed: int
    outcomes: tuple[Outcome, ...]

    @property
    def scores(self) -> tuple[RuleScore, ...]:
        """The score of each rule."""
        return scores(self.outcomes)


def run_backtest(
    seasons: int, fields: int, seed: int, told: Callable[[int], None] = lambda done: None
) -> Backtest:
    """Run every rule on seasons 0 to ``seasons`` - 1 of a seed, on all processors.

    Parameters
    ----------
    told
        Called with the number of seasons done.
    """
    blocks = [range(at, min(seasons, at + BLOCK)) for at in range(0, seasons, BLOCK)]
    outcomes: list[Outcome] = []
    for block in _worked(blocks, fields, seed):
        outcomes += block
        told(len({one.season for one in outcomes}))
    return Backtest(seasons, fields, seed, tuple(sorted(outcomes, key=lambda one: one.season)))


def _worked(blocks: list[range], fields: int, seed: int) -> Iterator[list[Outcome]]:
    if len(blocks) == 1:
        yield run_block(seed, blocks[0], fields)
        return
    workers = min(len(blocks), cpu_count() or 1)
    with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
        begun = [pool.submit(run_block, seed, block, fields) for block in blocks]
        for one in begun:
            yield one.result()


def backtest(seasons: int, fields: int, seed: int, as_json: bool, plot: Path | None) -> int:
    """Run a backtest and tell it as a table or as JSON, and draw it where asked.

    Raises
    ------
    DataError
        The picture's name has another ending than .png or .svg, or its folder is not there:
        told before the minutes of work, not after them.
    """
    if plot is not None:
        _check_picture(plot)
    talk(f"Simulating {seasons} seasons of {fields} fields. {CAUTION}")
    ran = run_backtest(seasons, fields, seed, lambda done: talk(f"{done} of {seasons} seasons"))
    if as_json:
        say(backtest_json(ran))
    else:
        show_table(HEADERS, backtest_rows(ran.scores))
        talk(
            "worth: share of a perfect spray on every acre, in points of 100. ours ahead by: on "
            "the same seasons, with its 95 % interval. caught: acres never sprayed, by a killing "
            "freeze or the end of the season, in %; ripe: counted mature before."
        )
    if plot is not None:
        from scheduler.backtest_picture import plot_backtest

        plot_backtest(ran, plot)
        talk(f"The rules are drawn in {plot}.")
    return exit_codes.OK


def _check_picture(plot: Path) -> None:
    if plot.suffix.lower() not in PICTURES:
        raise DataError([f"--plot: got {plot.name}, wanted a name that ends in .png or .svg"])
    if not plot.parent.is_dir():
        raise DataError([f"--plot: got {plot}, wanted a file in a folder that is there"])


def backtest_rows(told: tuple[RuleScore, ...]) -> list[tuple[str, ...]]:
    """One row a rule, for a table."""
    return [
        (
            one.rule,
            f"{one.worth_pct:.1f}",
            f"{one.worst_pct:.1f}",
            _ahead(one),
            f"{one.caught_pct:.1f} %",
            f"{one.ripe_caught_pct:.1f} %",
        )
        for one in told
    ]


def _ahead(one: RuleScore) -> str:
    if one.rule == OURS:
        return ""
    if one.behind_pm_pct is None:
        return f"{one.behind_pct:+.2f}"
    return f"{one.behind_pct:+.2f} +- {one.behind_pm_pct:.2f}"


def backtest_json(ran: Backtest) -> str:
    """The whole backtest for other programs: scores, and every season of every rule."""
    told = {
        "simulated": True,
        "caution": CAUTION,
        "run": {"seasons": ran.seasons, "fields": ran.fields, "seed": ran.seed},
        "rules": [asdict(one) for one in ran.scores],
        "outcomes": [asdict(one) for one in ran.outcomes],
    }
    return json.dumps(told, indent=2, allow_nan=False)
