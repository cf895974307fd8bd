"""Records of fields as CSV to take along, as far as their reader may see them."""

import csv
import io
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from notify.privacy import mentions, names_in, names_of_others
from scheduler.outputs import report_frame, safe_cell
from scheduler.spray_record import intervals
from scheduler.visit_list import visits_csv

if TYPE_CHECKING:
    from datetime import datetime

    from dispatch.report import MorningReport
    from farm.field import Field
    from farm.records import Spray
    from scheduler.opening import OpenFarm

    #: The growers whose fields a reader may see; None for all fields, those gone too.
    Growers = frozenset[str] | None

SPRAY_COLUMNS = (
    *("uuid", "field_id", "field", "sprayed", "treatment_id", "rig_id", "applicator"),
    *("re_entry_from", "harvest_from", "note"),
)


def order_csv(report: "MorningReport", overtaken: Mapping[str, str]) -> str:
    """The order as CSV; a call that does not stand any more is told as such, and why."""
    frame = report_frame(report)
    if overtaken and len(frame):
        frame["call"] = [
            "overtaken" if field_id in overtaken else call
            for field_id, call in zip(frame["field_id"], frame["call"], strict=True)
        ]
    for column in frame.columns:
        frame[column] = [safe_cell(value) for value in frame[column].tolist()]
    text: str = frame.to_csv(index=False, lineterminator="\n")
    return text


def visits_taken_along(
    farm: "OpenFarm", report: "MorningReport | None", grower_ids: "Growers"
) -> str:
    """Visits that stand, newest first, under the columns that the import reads."""
    fields, gone = farm.fields_by_id, farm.stores.retractions.by_record()
    hide = _hiding(report, grower_ids)
    visits = [
        one.model_copy(update={"note": hide(one.note), "scout": hide(one.scout)})
        for one in farm.stores.visits.all()
        if one.uuid not in gone and _seen(one.field_id, fields, grower_ids)
    ]
    return visits_csv(sorted(visits, key=lambda one: one.observed_utc, reverse=True), fields)


def sprays_taken_along(
    farm: "OpenFarm", report: "MorningReport | None", grower_ids: "Growers"
) -> str:
    """Sprays that stand, newest first, with earliest re-entry and harvest as the label has it."""
    fields, gone = farm.fields_by_id, farm.stores.retractions.by_record()
    hide, text = _hiding(report, grower_ids), io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(SPRAY_COLUMNS)
    sprays = sorted(farm.stores.sprays.all(), key=lambda one: one.sprayed_utc, reverse=True)
    for one in sprays:
        if one.uuid not in gone and _seen(one.field_id, fields, grower_ids):
            told = _spray_row(farm, one, fields.get(one.field_id), hide)
            writer.writerow([safe_cell(cell) for cell in told])
    return text.getvalue()


def _spray_row(
    farm: "OpenFarm", one: "Spray", field: "Field | None", hide: Callable[[str], str]
) -> tuple[str, ...]:
    zone = ZoneInfo(field.time_zone) if field else farm.zone
    mixes = {mix.id: mix for mix in farm.config.settings.treatments}
    until = intervals(one, mixes.get(one.treatment_id))

    def local(moment_utc: "datetime | None") -> str:
        return "" if moment_utc is None else moment_utc.astimezone(zone).isoformat()

    return (
        str(one.uuid),
        one.field_id,
        field.name if field else "",
        local(one.sprayed_utc),
        one.treatment_id,
        one.rig_id or "",
        hide(one.applicator),
        local(until.reentry_utc),
        local(until.harvest_utc),
        hide(one.note),
    )


def _seen(field_id: str, fields: "Mapping[str, Field]", grower_ids: "Growers") -> bool:
    if grower_ids is None:
        return True
    field = fields.get(field_id)
    return field is not None and field.grower_id in grower_ids


def _hiding(report: "MorningReport | None", grower_ids: "Growers") -> Callable[[str], str]:
    """Leaves out texts that name what the reader has nothing to do with."""
    if grower_ids is None:
        return lambda text: text
    if report is None:
        return lambda _: ""
    hidden = names_of_others(report, grower_ids)
    own = names_in(report.only(grower_ids).fields)
    return lambda text: "" if mentions(text, hidden, own) else text
