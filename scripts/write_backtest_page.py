"""Run the backtest and write docs/backtest.md and docs/backtest.png.

python -m scripts.write_backtest_page [--seasons N] [--docs FOLDER]
"""

import argparse
import sys
from pathlib import Path

from dispatch.season.promises import Promise, promises
from dispatch.season.run import OURS, OURS_UNWAITING, OURS_WALKED
from dispatch.season.score import WITHIN_95_PCT, RuleScore, differences
from scheduler.backtest import Backtest, backtest_rows, run_backtest
from scheduler.backtest_picture import plot_backtest
from scheduler.commands.verify import SEED

#: Rules ours must be ahead of, by how much [points].
TARGETS = {"first mature first": 0.5, "earliest spray-by first": 0.3, "habit": 25.0}
#: How many times fewer acres must be caught than with the habit.
CAUGHT_FACTOR = 4.0
#: Seasons whose promises are held to what came.
PROMISE_SEASONS = 200

TOP = """# Backtest: our order against other rules, on simulated seasons

Written by `python -m scripts.write_backtest_page`; do not edit. The table alone:
`warmspell verify --backtest --seasons {seasons} --fields {fields} --seed {seed}`.

**Weather, fields and the crop's response are simulated. Read differences between rules, not
levels. Nothing here was measured on a farm.** The calls and the order of *warmspell* are made by
the same functions as a real morning (a test holds them equal, field by field). No constant of the
rule was chosen on these seasons; how cold the invented fields lie and how many rigs there are was
set on others, so that the season is about as short and as tight as in short-season country.

![Worth, acres never sprayed, and ours against first mature first](backtest.png)

{seasons} seasons, {fields} fields, every rule on the same weather, forecasts, counts and rigs.

| rule | worth [%] | worst 5 % | warmspell ahead by [points] | never sprayed | of them ripe |
|-|-|-|-|-|-|
"""

WORDS = """
Worth is the share of a perfect spray on every acre; a field that froze unsprayed keeps 25 %.
*Ahead by* is paired season by season, with its 95 % interval. *Never sprayed*: acres that a killing
freeze or 15 November found unsprayed; *ripe*: those of them counted mature before.

- **warmspell** sprays fields called spray or short, in their order, and nothing that is not mature.
- **warmspell, walked when told** also walks the fields it says to walk, and sprays one whose cut
  bolls pass. That they pass up to a true NACB of about 5.5 is an assumption, and so is what unripe
  bolls lose.
- **warmspell's order, never waiting** also sprays the mature fields that would do better later:
  what the order alone is worth.
- **first mature first**, **earliest spray-by first**, **random**: every mature field may go.
- **habit**: nobody until a freeze at the middle field stands in the forecast, then all mature
  fields; **or 5 October** starts on that day in any case.

All rules know the same counts, skip hours whose rain-free hours are not told dry, and send rigs
only into hours with real spray weather.

## Asked and got
| asked | got | |
|-|-|-|
"""

READING = """
## Reading
- Beginning with mature fields at once, and not with the forecast of a freeze, is worth {habit:.0f}
  points. The order among mature fields is worth little beside that.
- The order alone, never waiting, is ahead of first mature first by {alone}.
- Waiting for a better day gives the rest, and has its price: {ripe:.1f} % of acres are caught
  ripe, with first mature first {ripe_first:.1f} %, and the worst twentieth of seasons is worth
  {worst:.1f} % or less, with first mature first {worst_first:.1f} %.
- Walking the fields that are to be walked is worth {walked}.
"""

PROMISED = """
## What the effect promises, and what comes
The effect of spraying now and from the back of the line, as the order counts it, against what such
sprays gave ({seasons} other seasons; warmth up to the killing freeze, no rain, no ripeness).

| days ahead | promised [%] | came [%] | sprays |
|-|-|-|-|
"""

WHY = """
A spray is promised about what it gives, now and from the back of the line. Beyond the forecast the
warmth is the mean over a cold, a middling and a warm week: warmth flattens with the dose, so a cold
week loses more than a warm one gains, and the warmth of the mean week, which an earlier version of
the rule read, told six days and more ahead 4 to 5 points too much.

## What is simulated, and from what
- Highs and lows: normals, spread, and how days go together as in Amarillo, Garden City and Wichita,
  autumns of 2014 to 2016 (`dispatch/season/weather_constants.py`, with its script).
- Forecasts of lows miss as `agronomy/low_errors.py` says: bias, spread and Student's t by days
  ahead, nights of one issue together; of highs as measured in the same cities. They are honest: of
  nights told 32 F as many freeze as the odds say (tested).
- Wind, dew, the course of a day and how long rain lasts: the typical year of Greensboro, NC.
- **Assumptions**, because nothing open tells them of short-season country: how much colder fields
  lie than stations (4 to 8 F, which brings the first killing freeze of the middle field to about
  28 October), how often it rains, how well rain and wind are forecast, acres, mixes, 50 fields to a
  rig, labels that allow 15 mph, visits every 7 days and every 3 when nearly mature, a count's error
  of 0.6 node. They all stand in `dispatch/season/assumptions.py`.
- A spray gives the warmth of its week up to the killing freeze, 40 % of it when rain falls in its
  rain-free hours, less what unripe bolls lose (`dispatch/season/worth.py`).

## What it does not show
No roads, no harvest capacity, no loss of ripe cotton that waits, no regrowth; one temperature for
the whole co-op; wet days are no cooler. The habit is a caricature: a whole co-op waits at once. A
past season from a folder of recorded issues cannot be run yet.
"""


def page(ran: Backtest, promised: tuple[Promise, ...]) -> str:
    """The page's text."""
    told = {one.rule: one for one in ran.scores}
    text = TOP.format(seasons=ran.seasons, fields=ran.fields, seed=ran.seed)
    text += "".join(f"| {' | '.join(row)} |\n" for row in backtest_rows(ran.scores))
    text += WORDS
    text += "".join(_asked(told[rule], least) for rule, least in TARGETS.items())
    text += _caught(told)
    text += _reading(ran, told)
    text += PROMISED.format(seasons=PROMISE_SEASONS)
    text += "".join(
        f"| {one.days_ahead} | {one.promised_pct:.1f} | {one.came_pct:.1f} | {one.sprays:,} |\n"
        for one in promised
    )
    return text + WHY


def _reading(ran: Backtest, told: dict[str, RuleScore]) -> str:
    ours, first = told[OURS], told["first mature first"]
    return READING.format(
        habit=told["habit"].behind_pct,
        alone=_paired(ran, OURS_UNWAITING, first.rule),
        walked=_paired(ran, OURS_WALKED, OURS),
        ripe=ours.ripe_caught_pct,
        ripe_first=first.ripe_caught_pct,
        worst=ours.worst_pct,
        worst_first=first.worst_pct,
    )


def _paired(ran: Backtest, rule: str, other: str) -> str:
    ahead = differences(ran.outcomes, other) - differences(ran.outcomes, rule)
    spread = WITHIN_95_PCT * ahead.std(ddof=1) / ahead.size**0.5
    return f"{ahead.mean():+.2f} +- {spread:.2f} points"


def _asked(one: RuleScore, least: float) -> str:
    low = one.behind_pct - (one.behind_pm_pct or 0.0)
    verdict = "not reached" if one.behind_pct < least else "reached"
    if verdict == "reached" and low < least:
        verdict = "reached in the mean, not surely" if low > 0 else "not told from nothing"
    got = f"{one.behind_pct:+.2f} +- {one.behind_pm_pct or 0.0:.2f}"
    return f"| ahead of {one.rule} by {least:g} points | {got} | {verdict} |\n"


def _caught(told: dict[str, RuleScore]) -> str:
    ours, habit = told[OURS], told["habit"]
    walked = told[OURS_WALKED]
    rows = ""
    for words, mine, theirs in (
        ("fewer acres never sprayed than the habit", ours.caught_pct, habit.caught_pct),
        ("the same of ripe acres", ours.ripe_caught_pct, habit.ripe_caught_pct),
        ("the same of all acres, walked when told", walked.caught_pct, habit.caught_pct),
    ):
        times = theirs / max(mine, 0.01)
        verdict = "reached" if times >= CAUGHT_FACTOR else "not reached"
        got = f"{mine:.1f} % for {theirs:.1f} %, {times:.1f} times"
        rows += f"| {words}, {CAUGHT_FACTOR:g} times | {got} | {verdict} |\n"
    return rows


def main() -> None:
    """Run from the command line."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--seasons", type=int, default=200)
    parser.add_argument("--fields", type=int, default=150)
    parser.add_argument("--docs", type=Path, default=Path("docs"))
    asked = parser.parse_args()

    def tell(done: int) -> None:
        sys.stderr.write(f"{done} of {asked.seasons} seasons\n")

    ran = run_backtest(asked.seasons, asked.fields, SEED, tell)
    # Drawn from the next seed, so that the page's seasons are not looked at twice.
    promised = promises(SEED + 1, PROMISE_SEASONS)
    plot_backtest(ran, asked.docs / "backtest.png")
    (asked.docs / "backtest.md").write_text(page(ran, promised), "utf-8")


if __name__ == "__main__":
    main()
