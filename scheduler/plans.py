"""The plan a command reads, or a plain word that there is none yet."""

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from scheduler.data_error import DataError

if TYPE_CHECKING:
    from dispatch.report import FieldCall, MorningReport
    from storage.stores import Stores


class NoPlanError(DataError):
    """No morning has been run that could be read."""


def latest_plan(stores: "Stores", config_path: Path) -> "MorningReport":
    """The plan made last."""
    report = stores.plans.latest()
    if report is None:
        raise NoPlanError(
            [
                "ranking: no morning has been run yet; run one with warmspell morning --dry-run "
                f"--config {config_path}"
            ]
        )
    return report


def plan_on(stores: "Stores", local_date: date | None, config_path: Path) -> "MorningReport":
    """The plan of a date, or the latest where none is given."""
    if local_date is None:
        return latest_plan(stores, config_path)
    report = stores.plans.on(local_date)
    if report is None:
        raise NoPlanError(
            [f"plan: none was made for {local_date}; leave out --on for the latest there is"]
        )
    return report


def call_of(report: "MorningReport", field_id: str) -> "FieldCall":
    """A field's call in a plan."""
    for one in report.fields:
        if one.field.id == field_id:
            return one
    raise NoPlanError(
        [
            f"plan of {report.run.local_date}: field {field_id} is not in it, it was registered "
            "later; run warmspell morning --dry-run"
        ]
    )
