"""A block of simulated seasons, every rule run on the same ones."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from dispatch.line import fleet_rate, rig_hours
from dispatch.season import assumptions as assumed
from dispatch.season.co_op import GATES, KINDS, POLICY, CoOp, draw_co_op
from dispatch.season.crop import (
    MATURE,
    NEARLY,
    Scouting,
    cut_test_passes,
    day_on,
    draw_scouting,
    state_of,
    true_nacb,
)
from dispatch.season.ours import OurOrderNeverWaiting, OurRule
from dispatch.season.rigs import Fleet
from dispatch.season.rules import RULES_OF_OTHERS, Rule, View, tells_of_freeze
from dispatch.season.seen import KindFields, Seen, kind_fields, look_ahead
from dispatch.season.sky import Told, Truth, draw_skies
from dispatch.season.walked import OurRuleWalked
from dispatch.season.worth import SeasonTruth, killed_days, worth_of

Whole = npt.NDArray[np.int64]
Flags = npt.NDArray[np.bool_]
Floats = npt.NDArray[np.float64]

OURS, OURS_WALKED = "warmspell", "warmspell, walked when told"
OURS_UNWAITING = "warmspell's order, never waiting"


@dataclass(frozen=True)
class Outcome:
    """How one rule did in one season.

    ``worth_pct`` is the share of a perfect spray on every acre, ``caught_pct`` the share of acres
    that a killing freeze, or the end of the season, found unsprayed, ``ripe_caught_pct`` those of
    them that had been counted mature before. ``rig_hours`` are worked of ``usable_rig_hours``.
    """

    season: int
    rule: str
    worth_pct: float
    caught_pct: float
    ripe_caught_pct: float
    rig_hours: float
    usable_rig_hours: float


@dataclass(eq=False)
class Season:
    """One season as it goes: what is drawn once, and each rule's fields and rigs."""

    number: int
    place: int
    co_op: CoOp
    scouting: Scouting
    state: npt.NDArray[np.str_]
    passes: Flags
    mature_since: Whole
    killed_on: Whole
    lot: Floats
    hours_needed: list[float]
    sprayed_h: dict[str, Whole]
    fleets: dict[str, Fleet]

    def open_on(self, rule: str, day: int) -> Flags:
        """Fields neither sprayed nor killed on a morning."""
        return np.asarray((self.sprayed_h[rule] < 0) & (day < self.killed_on))


def run_block(seed: int, seasons: Sequence[int], fields: int) -> list[Outcome]:
    """Every rule on each of some seasons, drawn by number from a seed."""
    truth, told = draw_skies(seed, seasons, GATES)
    standing = kind_fields(len(seasons))
    block = [_season(seed, number, at, fields, truth) for at, number in enumerate(seasons)]
    co_ops = [one.co_op for one in block]
    rules: dict[str, Rule] = {
        OURS: OurRule(standing, co_ops),
        OURS_WALKED: OurRuleWalked(standing, co_ops),
        OURS_UNWAITING: OurOrderNeverWaiting(standing, co_ops),
        **RULES_OF_OTHERS,
    }
    for day in range(assumed.FIRST_MORNING, assumed.LAST_MORNING + 1):
        _morning(day, block, rules, truth, told, standing)
    return [_outcome(one, rule, truth) for one in block for rule in rules]


def _season(seed: int, number: int, place: int, fields: int, truth: Truth) -> Season:
    co_op = draw_co_op(seed, number, fields)
    nacb = true_nacb(co_op, truth.low_f[place], truth.high_f[place])
    scouting = draw_scouting(seed, number, nacb)
    state = states(scouting)
    rate = fleet_rate(co_op.rigs)
    names = (OURS, OURS_WALKED, OURS_UNWAITING, *RULES_OF_OTHERS)
    return Season(
        number=number,
        place=place,
        co_op=co_op,
        scouting=scouting,
        state=state,
        passes=cut_test_passes(seed, number, nacb),
        mature_since=_mature_since(state),
        killed_on=killed_days(co_op, truth.low_f[place]),
        lot=np.random.default_rng([seed, number, 4]).uniform(size=fields),
        hours_needed=[rig_hours(float(one), rate, POLICY.setup_h) for one in co_op.acres],
        sprayed_h={one: np.full(fields, -1, dtype=np.int64) for one in names},
        fleets={one: Fleet(len(co_op.rigs)) for one in names},
    )


def states(scouting: Scouting) -> npt.NDArray[np.str_]:
    """Verdict on the last count of each field on each morning, shape (fields, days)."""
    state = np.full(scouting.counted.shape, "unknown", dtype="<U8")
    for one in np.unique(scouting.counted[~np.isnan(scouting.counted)]):
        state[scouting.counted == one] = state_of(float(one))
    return state


def _mature_since(state: npt.NDArray[np.str_]) -> Whole:
    """First morning of the run of mature verdicts each morning lies in."""
    since = np.zeros(state.shape, dtype=np.int64)
    for day in range(1, state.shape[1]):
        same = (state[:, day] == MATURE) & (state[:, day - 1] == MATURE)
        since[:, day] = np.where(same, since[:, day - 1], day)
    return since


def _morning(
    day: int,
    block: Sequence[Season],
    rules: Mapping[str, Rule],
    truth: Truth,
    told: Told,
    standing: KindFields,
) -> None:
    wanted = sorted(
        {
            (one.place, int(kind))
            for one in block
            for rule in rules
            for kind in one.co_op.kind[one.open_on(rule, day) & _asked(one.state[:, day], rule)]
        }
    )
    seen = look_ahead(told, day, wanted, standing) if wanted else None
    for one in block:
        workable = truth.workable[one.place, :, 24 * day : 24 * day + 24]
        for name, rule in rules.items():
            open_ = one.open_on(name, day)
            view = None if seen is None else _view(one, seen, told, day, open_)
            order = [] if view is None else rule(view)
            _spray(one, name, day, order, view, workable)


def _asked(state: npt.NDArray[np.str_], rule: str) -> Flags:
    """Fields whose sky a rule looks at."""
    mature = state == MATURE
    return np.asarray(mature | (state == NEARLY) if rule == OURS_WALKED else mature)


def _view(one: Season, seen: Seen, told: Told, day: int, open_: Flags) -> View:
    lows = told.low_f[one.place]
    return View(
        place=one.place,
        seen=seen,
        co_op=one.co_op,
        open=open_,
        state=one.state[:, day],
        counted=one.scouting.counted[:, day],
        visited=one.scouting.visited[:, day],
        passes=one.passes[:, day],
        mature_since=one.mature_since[:, day],
        lows_told_f=lows[day],
        freeze_told=tells_of_freeze(lows[assumed.FIRST_MORNING : day + 1]),
        day_of_year=day_on(day).timetuple().tm_yday,
        lot=one.lot,
    )


def _spray(
    one: Season, rule: str, day: int, order: list[int], view: View | None, workable: Flags
) -> None:
    fleet = one.fleets[rule]
    busy = [here for here in fleet.at_field if here is not None]
    if not order and not busy:
        return
    zones = {here: KINDS[one.co_op.kind[here]].zone for here in (*order, *busy)}
    can_work = {here: workable[zone] for here, zone in zones.items()}
    dry: dict[int, Flags] = {}
    for here in order:
        assert view is not None
        row = view.row(here)
        if row not in dry:
            dry[row] = view.seen.dry_starts(row)
    starts = {here: can_work[here] & dry[view.row(here)] for here in order if view is not None}
    for here, hour in fleet.spray(order, one.hours_needed, starts, can_work):
        one.sprayed_h[rule][here] = 24 * day + hour


def _was_ripe(one: Season) -> Flags:
    """Fields counted mature on some morning before they froze or the season ended."""
    day = np.arange(one.state.shape[1])
    until = np.minimum(one.killed_on, assumed.LAST_MORNING + 1)
    return np.asarray(((one.state == MATURE) & (day < until[:, None])).any(axis=1))


def _outcome(one: Season, rule: str, truth: Truth) -> Outcome:
    sprayed_h, acres = one.sprayed_h[rule], one.co_op.acres
    came = SeasonTruth(
        temp_f=truth.temp_f[one.place],
        rains=truth.rains[one.place],
        low_f=truth.low_f[one.place],
        nacb=true_nacb(one.co_op, truth.low_f[one.place], truth.high_f[one.place]),
    )
    worth = worth_of(one.co_op, came, sprayed_h)
    hours = slice(24 * assumed.FIRST_MORNING, 24 * (assumed.LAST_MORNING + 1))
    usable = truth.workable[one.place, :, hours].any(axis=0).sum() * len(one.co_op.rigs)
    share = acres / acres.sum()
    return Outcome(
        season=one.number,
        rule=rule,
        worth_pct=100 * float(share @ worth),
        caught_pct=100 * float(share @ (sprayed_h < 0)),
        ripe_caught_pct=100 * float(share @ ((sprayed_h < 0) & _was_ripe(one))),
        rig_hours=one.fleets[rule].worked_h,
        usable_rig_hours=float(usable),
    )
