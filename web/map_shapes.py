"""What a map shows, before it is drawn: fields, ways of rigs, gates and yards [m, web Mercator]."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import islice, pairwise
from math import hypot, sqrt
from urllib.parse import quote

from pyproj import Transformer

from dispatch.report import FieldCall
from dispatch.routes.plan import PlannedDay, RoutePlan
from dispatch.routes.plan_map import plan_geojson
from dispatch.routes.rig_plan import yard_of
from dispatch.words import LocalClock
from farm.field import Field
from notify.rig_sheet import FarmFacts
from notify.route_words import day_title
from notify.rows import name_of
from notify.user_text import plain_line
from web.order_rows import call_word
from web.units import Units, shown

Places = tuple[tuple[float, float], ...]

#: Square metres in an acre [m2/acre].
ACRE_M2 = 4046.86
#: Steps of the effect, each a fifth or so of 100 points.
STEPS = 6
#: How the lines of rigs are broken, one rig's day after the other [px on, px off, ...].
DASHES = ((), (12, 6), (3, 5), (14, 5, 3, 5), (22, 8), (8, 4, 3, 4, 3, 4))

_to_map = Transformer.from_crs(4326, 3857, always_xy=True)


@dataclass(frozen=True)
class MapField:
    """One field. ``look`` is its call, or "gone" where that does not stand any more; ``place`` is
    its place in the line, "" without one; ``step`` tells the effect, None where it is not known.
    """

    id: str
    name: str
    look: str
    words: str
    size: str
    effect: str
    step: int | None
    place: str
    ring: Places
    middle: tuple[float, float]

    @property
    def address(self) -> str:
        """Its page."""
        return f"/fields/{quote(self.id, safe='')}"


@dataclass(frozen=True)
class MapPoint:
    """A gate or a yard."""

    kind: str
    name: str
    at: tuple[float, float]


@dataclass(frozen=True)
class MapWay:
    """One rig's day, straight from stop to stop; ``letter`` names it on the map."""

    letter: str
    title: str
    dash: tuple[int, ...]
    way: Places
    letter_at: tuple[float, float]


def map_fields(calls: Sequence[FieldCall], gone: Collection[str], units: Units) -> list[MapField]:
    """Fields as the map shows them; ``gone`` holds ids whose call does not stand any more."""
    shapes = outlines([one.field for one in calls])
    return [_map_field(one, shape, gone, units) for one, shape in zip(calls, shapes, strict=True)]


def _map_field(
    one: FieldCall, shape: tuple[tuple[float, float], Places], gone: Collection[str], units: Units
) -> MapField:
    overtaken = one.field.id in gone
    effect = one.effect_pct
    return MapField(
        id=one.field.id,
        name=name_of(one),
        look="gone" if overtaken else one.call.value if one.standing == "open" else "beside",
        words="call overtaken" if overtaken else call_word(one),
        size=shown(one.field.acres, "area", units),
        effect="not known" if effect is None else f"{effect:.0f} of 100",
        step=None if effect is None else min(STEPS - 1, max(0, int(effect / 100 * STEPS))),
        place="" if overtaken or one.rank is None else str(one.rank),
        middle=shape[0],
        ring=shape[1],
    )


def outlines(fields: Sequence[Field]) -> list[tuple[tuple[float, float], Places]]:
    """The middle and the outline of each field, a square as large as it where none is known."""
    known = [((one.longitude, one.latitude), *(one.outline or ())) for one in fields]
    # In one go: to turn places one by one takes seconds on a big farm.
    longitudes, latitudes = zip(*(place for each in known for place in each), strict=True)
    turned = iter(zip(*_to_map.transform(longitudes, latitudes), strict=True))
    found = []
    for one, each in zip(fields, known, strict=True):
        middle, *ring = islice(turned, len(each))
        found.append((middle, tuple(ring) or _square(middle, one.acres)))
    return found


def _square(middle: tuple[float, float], acres: float) -> Places:
    (x, y), half = middle, sqrt(acres * ACRE_M2) / 2
    return ((x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half))


def gates(fields: Sequence[Field]) -> Iterator[MapPoint]:
    """The gates that were entered."""
    for one in fields:
        if one.entry_latitude is not None:
            yield MapPoint("gate", f"gate of {plain_line(one.name)}", _at(*one.entry))


def yards(facts: FarmFacts) -> Iterator[MapPoint]:
    """The yards that were entered."""
    for rig in facts.rigs.values():
        yard = yard_of(rig)
        if yard is not None:
            yield MapPoint("yard", f"yard of {plain_line(rig.name)}", _at(*yard))


def ways(plan: RoutePlan, facts: FarmFacts, on: date, clock: LocalClock) -> Iterator[MapWay]:
    """The ways of the rigs on one day."""
    entries = {field_id: one.entry for field_id, one in facts.fields.items()}
    yard_places = {rig_id: yard_of(one) for rig_id, one in facts.rigs.items()}
    known = {rig_id: yard for rig_id, yard in yard_places.items() if yard is not None}
    days = [one for one in plan.days if one.on == on]
    for number, one in enumerate(days):
        way = _way(plan, one, entries, known)
        if way:
            letter = chr(ord("A") + number % 26)
            dash = DASHES[number % len(DASHES)]
            title = day_title(one, clock)
            yield MapWay(letter, title, dash, way, _longest_middle(way))


def _way(
    plan: RoutePlan,
    one: PlannedDay,
    entries: dict[str, tuple[float, float]],
    known: dict[str, tuple[float, float]],
) -> Places:
    alone = plan.model_copy(update={"days": (one,)})
    drawn = plan_geojson(alone, entries, known)["features"]
    line, *stops = (each["geometry"] for each in drawn)
    told = line["coordinates"] if line else [stop["coordinates"] for stop in stops if stop]
    return tuple(_to_map.transform(longitude, latitude) for longitude, latitude in told)


def _longest_middle(way: Places) -> tuple[float, float]:
    """Where a line is named: the middle of its longest part."""
    parts = list(pairwise(way)) or [(way[0], way[0])]
    (x, y), (to_x, to_y) = max(parts, key=lambda part: hypot(*_between(*part)))
    return (x + to_x) / 2, (y + to_y) / 2


def _between(start: tuple[float, float], end: tuple[float, float]) -> tuple[float, float]:
    return end[0] - start[0], end[1] - start[1]


def _at(latitude: float, longitude: float) -> tuple[float, float]:
    x, y = _to_map.transform(longitude, latitude)
    return float(x), float(y)
