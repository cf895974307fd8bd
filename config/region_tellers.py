"""Who tells each field's forecast: as the farm says, else its region, else the field itself."""

from collections.abc import Iterable, Iterator

from config.key_path import Path, value_at
from config.rules import table_at, within
from config.settings import FieldOverrides, Region, Settings
from config.strict import strictly
from farm.field import Field
from forecasts.settings import ForecastSettings
from forecasts.tellers import NOBODY, Tellers, TellersNamed

#: The keys of [forecast] that a region or a field may name too.
NAMED = ("source", "stand_in", "extend")

#: What stands for contact and leave where recorded answers are replayed and nobody is asked.
_NOBODY_ASKED = {"contact": "recorded answers", "non_commercial": True}


def teller_faults(
    raw: dict[str, object], region_of: dict[str, str | None]
) -> Iterator[tuple[Path, str]]:
    """What is wrong with the tables ``forecast`` under ``regions`` and ``field_rules``.

    Parameters
    ----------
    raw
        The whole configuration as read.
    region_of
        Region by field id.

    Yields
    ------
    tuple of (path, words)
        Only faults that the table itself brings; the farm's own are found elsewhere.
    """
    farm = table_at(raw, ("forecast",))
    if strictly(ForecastSettings, farm)[0] is None:
        return
    for name in table_at(raw, ("regions",)):
        yield from _faults(raw, farm, ("regions", name, "forecast"))
    for field_id in table_at(raw, ("field_rules",)):
        region = region_of.get(field_id)
        below = _over(farm, table_at(raw, ("regions", region or "", "forecast")))
        if strictly(ForecastSettings, below)[0] is not None:
            yield from _faults(raw, below, ("field_rules", field_id, "forecast"))


def _faults(
    raw: dict[str, object], below: dict[str, object], path: Path
) -> Iterator[tuple[Path, str]]:
    own = table_at(raw, path)
    if not own or strictly(TellersNamed, own)[0] is None:
        return  # its keys one by one are checked with all others
    for where, words in strictly(ForecastSettings, _over(below, own))[1]:
        if words.endswith("name another or delete it"):
            words = words.removesuffix("delete it") + f'write "{NOBODY}"'
        yield (*path, *within(own, where, words)), words


def _over(below: dict[str, object], own: dict[str, object]) -> dict[str, object]:
    """A table [forecast] with some of its keys named otherwise."""
    merged = below | {key: own[key] for key in NAMED if key in own}
    if below.get("source") == "folder":
        merged |= _NOBODY_ASKED
    return {key: one for key, one in merged.items() if one != NOBODY}


def unused_tellers(
    raw: dict[str, object], regions: Iterable[str | None]
) -> Iterator[tuple[Path, str]]:
    """Tables ``forecast`` of regions that no field has."""
    known = set(regions)
    for name in table_at(raw, ("regions",)):
        if table_at(raw, ("regions", name, "forecast")) and name not in known:
            yield (
                ("regions", name, "forecast"),
                "got who tells the forecast of a region that no field has, so it counts for "
                "nobody; correct the name, or the region in the fields file",
            )


def nws_leads(raw: dict[str, object], region: object, field_id: object) -> bool:
    """Whether the US service leads for a field, by the tables as read."""
    for path in (("field_rules", field_id), ("regions", region), ()):
        if all(isinstance(one, str) for one in path):
            source = value_at(raw, (*map(str, path), "forecast", "source"))
            if source is not None:
                return source == "nws"
    return True


def tellers_by_field(settings: Settings, fields: Iterable[Field]) -> dict[str, Tellers]:
    """Who tells each field's forecast, by field id.

    The tables must have passed `teller_faults`.
    """
    told = {}
    for field in fields:
        region = settings.regions.get(field.region or "", Region())
        own = settings.field_rules.get(field.id, FieldOverrides())
        told[field.id] = own.forecast.over(region.forecast.over(settings.forecast.tellers))
    return told
