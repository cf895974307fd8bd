"""What the effect promises of a spray some days ahead, and what such sprays turn out to give.

Warmth up to the killing freeze only: no rain, no ripeness.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from dispatch.season import assumptions as assumed
from dispatch.season.co_op import GATES, KINDS
from dispatch.season.seen import kind_fields, look_ahead
from dispatch.season.sky import Truth, draw_skies
from dispatch.season.worth import killed_day, warmth_gained, worked_by_hour

Pairs = dict[int, list[tuple[float, float]]]

#: Days ahead at which promises are held to what came [days].
DAYS_AHEAD = (0, 1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 18, 22)
#: Hour of the day sprays begin in, after the morning's [h], and days between mornings asked.
START_H, EVERY_DAYS = 8, 4
#: Last morning asked, days after the first simulated day: 31 October.
LAST_ASKED = 72
#: Seasons drawn at a time.
BLOCK = 50


@dataclass(frozen=True)
class Promise:
    """Promised and came, as shares of a perfect spray [%], of sprays some days ahead."""

    days_ahead: int
    promised_pct: float
    came_pct: float
    sprays: int


def promises(seed: int, seasons: int) -> tuple[Promise, ...]:
    """Means over seasons, mornings and cold spots, fields killed before the morning left out."""
    pairs: Pairs = {ahead: [] for ahead in DAYS_AHEAD}
    for at in range(0, seasons, BLOCK):
        _hold(seed, range(at, min(seasons, at + BLOCK)), pairs)
    return tuple(_promise(ahead, some) for ahead, some in pairs.items())


def _hold(seed: int, seasons: Sequence[int], pairs: Pairs) -> None:
    truth, told = draw_skies(seed, seasons, GATES)
    standing = kind_fields(len(seasons))
    kinds = [at for at, kind in enumerate(KINDS) if kind.zone == 0 and kind.mix == 0]
    wanted = [(place, kind) for place in range(len(seasons)) for kind in kinds]
    worked = worked_by_hour(truth.temp_f)
    for day in range(assumed.FIRST_MORNING, LAST_ASKED + 1, EVERY_DAYS):
        seen = look_ahead(told, day, wanted, standing)
        for (place, kind), row in seen.row_of.items():
            killed_h = _killed_h(truth, place, kind)
            if killed_h <= 24 * day + assumed.LOW_AT_H:
                continue
            for ahead in DAYS_AHEAD:
                hour = 24 * ahead + START_H
                promised = float(seen.curve.alive_warmth[row, hour])
                came = warmth_gained(worked[place], 24 * day + hour, killed_h)
                pairs[ahead].append((promised, came))


def _killed_h(truth: Truth, place: int, kind: int) -> int:
    spot = assumed.COLD_SPOTS_F[KINDS[kind].cold]
    return 24 * killed_day(truth.low_f[place], spot) + assumed.LOW_AT_H


def _promise(ahead: int, pairs: list[tuple[float, float]]) -> Promise:
    promised, came = 100 * np.array(pairs).mean(axis=0)
    return Promise(ahead, float(promised), float(came), len(pairs))
