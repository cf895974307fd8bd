"""Miles and minutes by road, asked of a table service in pieces small enough for it."""

import math
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from urllib.parse import urlsplit

import numpy as np

from dispatch.routes.travel import METERS_A_MILE, Floats, Place, geodesic_miles
from forecasts.errors import ForecastError
from forecasts.exchange import Exchange
from scheduler.road_answer import RoadAnswer, RoadTableError, read_road_answer

#: A place farther from any road of the table's map is not on it [miles]. Judgement.
OFF_ROAD_MI = 3.0
#: Longest way by road that is believed [miles, minutes]. Judgement.
LONGEST_MI, LONGEST_MIN = 2_000.0, 1_440.0
#: Share by which a road may seem shorter than the crow flies, for rounding. Judgement.
SHORTER_FRAC = 0.01
#: Answers missed in a row after which the table is not asked any more.
MOST_MISSES = 2


@dataclass(frozen=True, eq=False)
class RoadTable:
    """Miles and minutes from row to column, NaN where not told, and why some are not."""

    miles: Floats
    minutes: Floats
    why_not: str = ""


def ask_road_table(
    address: str,
    places: Sequence[Place],
    at_once: int,
    wait_s: float,
    agent: str,
    monotonic: Callable[[], float] = time.monotonic,
) -> RoadTable:
    """Miles and minutes between all places, as far as the table tells them in time.

    Parameters
    ----------
    address
        Where the table service is.
    places
        Latitude and longitude of each place [deg].
    at_once
        Most places in one question.
    wait_s
        Longest that all questions may take together [s].
    agent
        Who asks.
    monotonic
        The clock that the wait is measured by.
    """
    count = len(places)
    miles, minutes = np.full((2, count, count), math.nan)
    straight = geodesic_miles(places)
    ends = monotonic() + wait_s
    exchange = Exchange({"User-Agent": agent, "Accept": "application/json"}, wait_s, wait_s)
    why_not, misses = "", 0
    for piece in _pieces(count, at_once):
        left_s = ends - monotonic()
        if left_s <= 0:
            why_not = f"it took longer than the {wait_s:g} s of [routes] table_wait_s"
            break
        try:
            told = _ask(exchange, address, [places[one] for one in piece], left_s)
        except RoadTableError as error:
            why_not, misses = error.words, misses + 1
            if error.final or misses >= MOST_MISSES:
                break
            continue
        misses = 0
        block = np.ix_(piece, piece)
        miles[block], minutes[block] = _believed(told, straight[block])
    return RoadTable(miles, minutes, why_not)


def _pieces(count: int, at_once: int) -> Iterator[list[int]]:
    """Places by the piece, so that every two of them are in one together."""
    half = max(1, at_once // 2)
    blocks = [list(range(start, min(start + half, count))) for start in range(0, count, half)]
    if count <= at_once:
        yield list(range(count))
        return
    for first, second in combinations(blocks, 2):
        yield [*first, *second]


def _ask(exchange: Exchange, address: str, places: Sequence[Place], left_s: float) -> RoadAnswer:
    at = ";".join(f"{east:.6f},{north:.6f}" for north, east in places)
    url = f"{address.rstrip('/')}/table/v1/driving/{at}?annotations=distance,duration"
    try:
        reply = exchange.get(url, {}, left_s)
    except ForecastError:
        # Its words are of the weather service, and may hold the address.
        raise RoadTableError("it did not answer in time") from None
    # A refusal says why in the same form; with any other status it is no answer of a table.
    if reply.status not in (200, 400):
        raise RoadTableError(f"it answered {reply.status}")
    return read_road_answer(reply.body, len(places))


def _believed(told: RoadAnswer, straight_mi: Floats) -> tuple[Floats, Floats]:
    """Miles from gate to gate and minutes, NaN where they cannot be true."""
    off_mi = told.off_road_m / METERS_A_MILE
    on_map = ~(off_mi > OFF_ROAD_MI)
    beside_mi = np.nan_to_num(off_mi)[:, None] + np.nan_to_num(off_mi)[None, :]
    miles = told.metres / METERS_A_MILE + beside_mi
    good = (
        on_map[:, None]
        & on_map[None, :]
        & (miles >= straight_mi * (1 - SHORTER_FRAC))
        & (miles <= LONGEST_MI)
    )
    miles = np.where(good, miles, math.nan)
    minutes = told.seconds / 60
    return miles, np.where(good & (minutes <= LONGEST_MIN), minutes, math.nan)


def host_of(address: str) -> str:
    """The name of the table's host, without a user's name or password."""
    return urlsplit(address).hostname or "the road table"
