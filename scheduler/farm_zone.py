"""The zone a farm's day is counted in."""

from collections import Counter
from collections.abc import Sequence
from zoneinfo import ZoneInfo

from farm.field import Field

#: The rule of the config by which every field has the zone of its place.
BY_FIELD = "by field"


def farm_zone(rule: str, fields: Sequence[Field]) -> ZoneInfo:
    """The zone named by ``rule``, or that of most fields where the rule is "by field".

    Of zones with as many fields the first by name, so that the choice never changes by itself.
    """
    if rule != BY_FIELD:
        return ZoneInfo(rule)
    counted = Counter(field.time_zone for field in fields)
    if not counted:
        return ZoneInfo("UTC")
    return ZoneInfo(min(counted, key=lambda name: (-counted[name], name)))
