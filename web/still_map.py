"""The map as a still drawing: for readers without scripts, and for print."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from web.map_drawing import MapContent, Shade
from web.map_shapes import MapField, MapWay, Places

#: Width of the drawing [units], and the room left around what it shows.
WIDTH, AROUND = 1000.0, 30.0
#: Height of the drawing at the least and at the most [units].
LOW, HIGH = 250.0, 1400.0


@dataclass(frozen=True)
class StillField:
    """A field's shape, ``look`` the class of its fill, with what its title says."""

    address: str
    title: str
    look: str
    points: str
    place: str
    x: str
    y: str


@dataclass(frozen=True)
class StillWay:
    """A rig's line, how it is broken, and where its letter stands."""

    letter: str
    points: str
    dash: str
    x: str
    y: str


@dataclass(frozen=True)
class StillPoint:
    """A gate or a yard."""

    kind: str
    name: str
    x: str
    y: str


@dataclass(frozen=True)
class StillMap:
    """The whole drawing [units]."""

    width: str
    height: str
    fields: tuple[StillField, ...]
    ways: tuple[StillWay, ...]
    points: tuple[StillPoint, ...]


@dataclass(frozen=True)
class _Frame:
    """From places on the map to units of the drawing, north up."""

    west: float
    north: float
    scale: float
    left: float
    height: float

    def at(self, place: tuple[float, float]) -> tuple[str, str]:
        x = self.left + (place[0] - self.west) * self.scale
        return f"{x:.1f}", f"{AROUND + (self.north - place[1]) * self.scale:.1f}"

    def points(self, places: Places) -> str:
        return " ".join(",".join(self.at(place)) for place in places)


def still_map(shown: MapContent, shade: Shade) -> StillMap | None:
    """The drawing; None where there is nothing to show."""
    if not shown.fields:
        return None
    frame = _frame([place for place in _places(shown)])
    points = (StillPoint(one.kind, one.name, *frame.at(one.at)) for one in shown.points)
    return StillMap(
        width=f"{WIDTH:.0f}",
        height=f"{frame.height:.0f}",
        fields=tuple(_field(one, frame, shade) for one in shown.fields),
        ways=tuple(_way(one, frame) for one in shown.ways),
        points=tuple(points),
    )


def _places(shown: MapContent) -> Iterator[tuple[float, float]]:
    for field in shown.fields:
        yield from field.ring
    for way in shown.ways:
        yield from way.way
    for point in shown.points:
        yield point.at


def _frame(places: Sequence[tuple[float, float]]) -> _Frame:
    xs, ys = zip(*places, strict=True)
    wide, tall = max(max(xs) - min(xs), 1.0), max(max(ys) - min(ys), 1.0)
    scale = min((WIDTH - 2 * AROUND) / wide, (HIGH - 2 * AROUND) / tall)
    return _Frame(
        west=min(xs),
        north=max(ys),
        scale=scale,
        left=(WIDTH - wide * scale) / 2,
        height=max(LOW, tall * scale + 2 * AROUND),
    )


def _field(one: MapField, frame: _Frame, shade: Shade) -> StillField:
    look = f"of-{one.look}"
    if shade == "effect":
        look = "of-gone" if one.look == "gone" else _step(one.step)
    x, y = frame.at(one.middle)
    title = f"{one.name}: {one.words}, effect {one.effect}"
    return StillField(one.address, title, look, frame.points(one.ring), one.place, x, y)


def _step(step: int | None) -> str:
    return "of-unknown" if step is None else f"step-{step}"


def _way(one: MapWay, frame: _Frame) -> StillWay:
    dash = " ".join(str(part) for part in one.dash) or "none"
    return StillWay(one.letter, frame.points(one.way), dash, *frame.at(one.letter_at))
