"""Time zones: their names, and which one a place lies in."""

from functools import cache
from zoneinfo import available_timezones

import tzfpy

from config.nearest import closest, plain

#: The rule that gives every field the zone of the place it lies in.
BY_FIELD = "by field"

#: What people in cotton country call their time, and the name that knows about summer time.
_COMMON_NAMES = {
    "eastern": "America/New_York",
    "est": "America/New_York",
    "edt": "America/New_York",
    "central": "America/Chicago",
    "cst": "America/Chicago",
    "cdt": "America/Chicago",
    "mountain": "America/Denver",
    "mst": "America/Denver",
    "mdt": "America/Denver",
    "pacific": "America/Los_Angeles",
    "pst": "America/Los_Angeles",
    "pdt": "America/Los_Angeles",
}


@cache
def _zone_names() -> frozenset[str]:
    return frozenset(name for name in available_timezones() if "/" in name or name == "UTC")


def known_zone(name: str) -> str:
    """``name`` itself, if it is a zone of the IANA list or the rule "by field".

    Raises
    ------
    ValueError
        Not such a name; the text offers the nearest ones. Bare names such as EST are refused
        because they know no summer time.
    """
    if name == BY_FIELD or name in _zone_names():
        return name
    near = _nearest_zone(name)
    advice = f'did you mean "{near}"?' if near else 'write "by field" to take it from the fields'
    raise ValueError(
        f'got "{name[:40]}", wanted a zone such as "America/Chicago", or "{BY_FIELD}"; {advice}'
    )


def _nearest_zone(name: str) -> str | None:
    word = plain(name).removesuffix(" time").removeprefix("us/")
    if word in _COMMON_NAMES:
        return _COMMON_NAMES[word]
    spelled = plain(name).replace(" ", "_")
    cities = {zone.rpartition("/")[2].casefold(): zone for zone in sorted(_zone_names())}
    return cities.get(spelled) or closest(spelled, {BY_FIELD, *_zone_names()})


def zone_at(latitude: float, longitude: float) -> str | None:
    """IANA zone of a place on land, or None at sea and where none is known."""
    name = tzfpy.get_tz(longitude, latitude)
    return name if name in _zone_names() and not name.startswith("Etc/") else None
