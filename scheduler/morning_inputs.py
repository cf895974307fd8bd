"""What a morning was decided from, in a form that is kept beside the plan and can be read back.

Forecasts and records are named, not copied: both are kept by themselves and never change. Only a
forecast row that the archive cannot give back exactly, such as an answer without an issue time,
is kept here as a block.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from dataclasses import field as dataclass_field
from datetime import datetime
from importlib.metadata import version
from typing import Any, Protocol, TypeVar
from uuid import UUID

from pydantic import ValidationError

from agronomy.hourly_forecast import HourlyForecast, whole_hour
from agronomy.thresholds import MaturityRules, SprayGates
from dispatch.asides import NO_ASIDES, Asides
from dispatch.farm_morning import FarmMorning
from dispatch.field_rules import FieldRules
from dispatch.own_error_figures import OwnErrorFigures
from dispatch.policy import Climate, DispatchPolicy, HarvestCapacity
from dispatch.ranking import POLICY_VERSION
from farm.field import Field
from farm.records import Visit
from farm.rig import Rig
from farm.treatment import Treatment
from scheduler.kept_asides import kept_asides, read_asides
from scheduler.kept_rows import RowLostError, forecast_of_rows, kept_rows
from storage.forecast_store import ForecastStore
from storage.stores import Stores


class _Record(Protocol):
    @property
    def uuid(self) -> UUID: ...

    @property
    def field_id(self) -> str: ...


Record = TypeVar("Record", bound=_Record)


class InputsLostError(Exception):
    """A plan whose inputs are not all there any more; the message says which."""


@dataclass(frozen=True, eq=False)
class MorningInputs:
    """Everything the calls of one morning follow from, and ``asides`` that are shown beside them.

    ``spoilt`` says of fields that a record of theirs is damaged, by field id. ``own_errors`` tells
    which errors of lows the policy of ``farm`` holds. ``stop`` says why no field may be called at
    all, "" where they may.
    """

    farm: FarmMorning
    visits: tuple[Visit, ...]
    forecast: HourlyForecast
    row_of: dict[str, int]
    now: datetime
    late: bool
    spoilt: Mapping[str, str] = dataclass_field(default_factory=dict)
    asides: Asides = NO_ASIDES
    own_errors: OwnErrorFigures | None = None
    stop: str = ""


def kept_inputs(used: MorningInputs, archive: ForecastStore) -> dict[str, Any]:
    """The inputs as plain JSON, to be kept beside the report made from them."""
    forecast, farm = used.forecast, used.farm
    rows = kept_rows(forecast, used.now, archive)
    return {
        "warmspell": version("warmspell"),
        "policy_version": POLICY_VERSION,
        "made_utc": used.now.isoformat(),
        "late": used.late,
        "cells": {one: forecast.cell_ids[row] for one, row in used.row_of.items()},
        "issued_utc": {one["cell"]: one["issued"] for one in rows},
        "rows": rows,
        "row_of": used.row_of,
        "spoilt": dict(used.spoilt),
        "asides": kept_asides(used.asides),
        "stop": used.stop,
        "visits": [str(one.uuid) for one in used.visits],
        "records": {
            "sprays": _uuids(farm.sprays.values()),
            "harvests": _uuids(farm.harvests),
            "freezes": _uuids(one for of_field in farm.freezes.values() for one in of_field),
            "inspections": _uuids(
                one for of_field in farm.inspections.values() for one in of_field
            ),
        },
        "policy": farm.policy.model_dump(mode="json"),
        "own_low_errors": used.own_errors and used.own_errors.model_dump(mode="json"),
        "farm": {
            "name": farm.name,
            "time_zone": farm.time_zone,
            "registered": [one.id for one in farm.registered],
            "rigs": [one.model_dump(mode="json") for one in farm.rigs],
            "growers": dict(farm.growers),
            "treatments": dict(farm.treatments),
            "harvest": farm.harvest.model_dump(mode="json"),
            **_rules(farm),
        },
    }


def read_inputs(
    kept: Mapping[str, Any], registered: Iterable[Field], stores: Stores
) -> MorningInputs:
    """The inputs read back.

    Parameters
    ----------
    kept
        What `kept_inputs` made.
    registered
        The fields of the report beside it, in any order.
    stores
        Where forecasts and records are kept.

    Raises
    ------
    InputsLostError
        The plan is of a version that did not keep all, or a forecast or record is gone.
    """
    if "farm" not in kept or "rows" not in kept:
        raise InputsLostError(
            f"it was kept by warmspell {kept.get('warmspell', 'of another version')}, which did "
            "not keep all that a replay needs"
        )
    try:
        return _read(kept, {one.id: one for one in registered}, stores)
    except RowLostError as lost:
        raise InputsLostError(str(lost)) from lost
    except (ValidationError, KeyError, TypeError, ValueError) as fault:
        raise InputsLostError(
            f"its inputs are of warmspell {kept.get('warmspell')} and are not read any more "
            f"({type(fault).__name__})"
        ) from fault


def known_then(kept: Mapping[str, Any], field_id: str) -> tuple[frozenset[str], FieldRules] | None:
    """The visits known to a kept morning, by uuid, and the rules of one field in it.

    None where the plan is of a version that did not keep them, or whose form is no longer read.
    """
    try:
        told = kept["farm"]
        return frozenset(kept["visits"]), _read_rules(told["rules"][told["rules_of"][field_id]])
    except (ValidationError, KeyError, TypeError, IndexError):
        return None


def _read(kept: Mapping[str, Any], by_id: Mapping[str, Field], stores: Stores) -> MorningInputs:
    told, records = kept["farm"], kept["records"]
    now = datetime.fromisoformat(kept["made_utc"])
    rules = [_read_rules(one) for one in told["rules"]]
    sprays = _by_uuid(stores.sprays.all_readable()[0], records["sprays"])
    freezes = _by_uuid(stores.freezes.all_readable()[0], records["freezes"])
    looks = _by_uuid(stores.freeze_inspections.all_readable()[0], records["inspections"])
    farm = FarmMorning(
        name=told["name"],
        time_zone=told["time_zone"],
        registered=tuple(by_id[one] for one in told["registered"]),
        rules={one: rules[told["rules_of"][one]] for one in told["registered"]},
        rigs=tuple(Rig.model_validate(one) for one in told["rigs"]),
        growers=told["growers"],
        treatments=told["treatments"],
        sprays={one.field_id: one for one in sprays},
        policy=DispatchPolicy.model_validate(kept["policy"]),
        harvest=HarvestCapacity.model_validate(told["harvest"]),
        harvests=_by_uuid(stores.harvests.all_readable()[0], records["harvests"]),
        freezes=_by_field(freezes),
        inspections=_by_field(looks),
    )
    return MorningInputs(
        farm=farm,
        visits=_by_uuid(stores.visits.all_readable()[0], kept["visits"]),
        forecast=forecast_of_rows(kept["rows"], whole_hour(now), stores.forecasts),
        row_of=kept["row_of"],
        now=now,
        late=kept["late"],
        spoilt=kept.get("spoilt", {}),
        asides=read_asides(kept.get("asides", {})),
        own_errors=told_errors(kept),
        stop=kept.get("stop", ""),
    )


def told_errors(kept: Mapping[str, Any]) -> OwnErrorFigures | None:
    """What a kept morning told of the farm's own errors of lows; ValidationError if damaged."""
    told = kept.get("own_low_errors")
    return None if told is None else OwnErrorFigures.model_validate(told)


def _rules(farm: FarmMorning) -> dict[str, Any]:
    """The rules in force, each set of them once, and which set each field has."""
    number: dict[FieldRules, int] = {}
    rules_of = {
        field_id: number.setdefault(one, len(number)) for field_id, one in farm.rules.items()
    }
    parts = ("gates", "maturity", "treatment", "climate")
    sets = [{name: getattr(one, name).model_dump(mode="json") for name in parts} for one in number]
    return {"rules": sets, "rules_of": rules_of}


def _read_rules(told: Mapping[str, Any]) -> FieldRules:
    return FieldRules(
        gates=SprayGates.model_validate(told["gates"]),
        maturity=MaturityRules.model_validate(told["maturity"]),
        treatment=Treatment.model_validate(told["treatment"]),
        climate=Climate.model_validate(told["climate"]),
    )


def _uuids(records: Iterable[_Record]) -> list[str]:
    return [str(one.uuid) for one in records]


def _by_uuid(records: Iterable[Record], wanted: Sequence[str]) -> tuple[Record, ...]:
    known = {str(one.uuid): one for one in records}
    lost = [one for one in wanted if one not in known]
    if lost:
        raise RowLostError(f"the record {lost[0]} is not kept any more")
    return tuple(known[one] for one in wanted)


def _by_field(records: Iterable[Record]) -> dict[str, tuple[Record, ...]]:
    found: dict[str, tuple[Record, ...]] = {}
    for one in records:
        found[one.field_id] = (*found.get(one.field_id, ()), one)
    return found
