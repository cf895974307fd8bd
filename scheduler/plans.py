"""The plan a command reads, or a plain word that there is none yet."""

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from dispatch.report import FieldCall, MorningReport
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


def call_of(report: "MorningReport", field_id: str) -> "FieldCall":
    """A field's call in a plan."""
    for one in report.fields:
        if one.field.id == field_id:
            return one
    raise NoPlanError(
        f"plan of {report.run.local_date}: field {field_id} is not in it, it was registered "
        "later; run warmspell morning --dry-run"
    )
