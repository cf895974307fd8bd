"""The plan a command reads, or a plain word that there is none yet."""

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from dispatch.field_rules import FieldRules
    from dispatch.report import FieldCall, MorningReport
    from farm.records import Visit
    from scheduler.opening import OpenFarm
    from storage.stores import Stores


#: What plans are kept under that were made to look at, not to send.
DRY_RUN = "dry-run"


class NoPlanError(Exception):
    """No morning has been run that could be read: there may be one later."""


def latest_plan(stores: "Stores", config_path: Path) -> "MorningReport":
    """The plan made last, be it sent or only tried."""
    sent, tried = stores.plans.latest(), stores.plans.latest(DRY_RUN)
    if sent is not None and tried is not None:
        return tried if tried.run.made_utc > sent.run.made_utc else sent
    report = sent or tried
    if report is None:
        raise NoPlanError(
            "ranking: no morning has been run yet; run one with warmspell morning --dry-run "
            f"--config {config_path}"
        )
    return report


def plan_on(stores: "Stores", local_date: date | None, config_path: Path) -> "MorningReport":
    """The plan of a date, one sent before one only tried; without a date the latest."""
    if local_date is None:
        return latest_plan(stores, config_path)
    report = stores.plans.on(local_date) or stores.plans.on(local_date, DRY_RUN)
    if report is None:
        raise NoPlanError(
            f"plan: none was made for {local_date}; leave out --on for the latest there is"
        )
    return report


def known_to(
    farm: "OpenFarm",
    report: "MorningReport",
    field_id: str,
    visits: "Sequence[Visit] | None" = None,
) -> "tuple[list[Visit], FieldRules | None]":
    """A field's visits and rules as the morning knew them, not as they have become since.

    ``visits`` are the field's in the order they were made, read here where left out.
    """
    from scheduler.morning_inputs import known_then

    plans = farm.stores.plans
    if visits is None:
        visits = farm.stores.visits.of_field(field_id)
    then = known_then(plans.inputs_of(report) or plans.inputs_of(report, DRY_RUN) or {}, field_id)
    if then is None:
        made_utc = report.run.made_utc
        seen = [one for one in visits if one.observed_utc <= made_utc]
        return seen, farm.config.rules.get(field_id)
    known, rules = then
    return [one for one in visits if str(one.uuid) in known], rules


def call_of(report: "MorningReport", field_id: str) -> "FieldCall":
    """A field's call in a plan."""
    for one in report.fields:
        if one.field.id == field_id:
            return one
    raise NoPlanError(
        f"plan of {report.run.local_date}: field {field_id} is not in it, it was registered "
        "later; run warmspell morning --dry-run"
    )
