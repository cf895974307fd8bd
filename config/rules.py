"""The rules in force for each field: the farm's, then its region's, then its own, key by key."""

from collections.abc import Iterable

from pydantic import BaseModel

from agronomy.thresholds import MaturityRules, SprayGates, with_crop
from config.climate_table import ClimateTable
from config.key_path import Path, value_at
from config.settings import FieldOverrides, Region, Settings
from config.strict import strictly
from dispatch.field_rules import FieldRules
from farm.field import Field

_CLASSES: dict[str, type[BaseModel]] = {
    "gates": SprayGates,
    "maturity": MaturityRules,
    "climate": ClimateTable,
}


def override_faults(
    raw: dict[str, object], region_of: dict[str, str | None]
) -> list[tuple[Path, str]]:
    """What is wrong with the tables under ``regions`` and ``field_rules``.

    Parameters
    ----------
    raw
        The whole configuration as read.
    region_of
        Region by field id.

    Returns
    -------
    list of (path, words)
        Only faults that the override itself brings; the farm's own are found elsewhere.
    """
    faults = []
    for name in table_at(raw, ("regions",)):
        for kind in _CLASSES:
            faults += _faults(raw, kind, ("regions", name, kind), [(kind,)])
    for field_id in table_at(raw, ("field_rules",)):
        for kind in ("gates", "maturity"):
            below: list[Path] = [(kind,)]
            if region := region_of.get(field_id):
                below.append(("regions", region, kind))
            faults += _faults(raw, kind, ("field_rules", field_id, kind), below)
    return faults


def _faults(raw: object, kind: str, path: Path, below: list[Path]) -> list[tuple[Path, str]]:
    own = table_at(raw, path)
    if not own:
        return []
    base: dict[str, object] = {}
    for under in below:
        base |= with_crop(table_at(raw, under))
    is_base_sound = not strictly(_CLASSES[kind], base)[1]
    # What is wrong below is told there: on its own, only its own keys can be judged.
    merged = base | with_crop(own) if is_base_sound else own
    return [
        ((*path, *within(own, where, words)), words)
        for where, words in strictly(_CLASSES[kind], merged)[1]
        if is_base_sound or (where and where[0] in own)
    ]


def within(own: dict[str, object], where: Path, words: str) -> Path:
    """``where``, or the key of the override that brought two keys into conflict."""
    if where and where[0] in own:
        return where
    return next(((key,) for key in own if key in words), ())


def table_at(raw: object, path: Path) -> dict[str, object]:
    """The table that ``path`` leads to, empty where there is none."""
    found = value_at(raw, path)
    return found if isinstance(found, dict) else {}


def rules_by_field(settings: Settings, fields: Iterable[Field]) -> dict[str, FieldRules]:
    """Gates, maturity rules, treatment and climate of every field, by field id.

    The overrides must have passed `override_faults`.
    """
    treatments = {one.id: one for one in settings.treatments}
    rules = {}
    for field in fields:
        region = settings.regions.get(field.region or "", Region())
        own = settings.field_rules.get(field.id, FieldOverrides())
        climate = settings.climate.model_dump() | region.climate
        gates = settings.gates.model_dump() | region.gates | own.gates
        maturity = settings.maturity.model_dump()
        # A crop named nearer to the field outdoes figures named farther away.
        maturity |= with_crop(region.maturity) | with_crop(own.maturity)
        rules[field.id] = FieldRules(
            gates=SprayGates(**gates),
            maturity=MaturityRules(**maturity),
            treatment=treatments[field.treatment_id],
            climate=ClimateTable(**climate).climate(),
        )
    return rules
