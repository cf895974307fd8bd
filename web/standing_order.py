"""Whether the calls of a morning still stand, for who reads them elsewhere than on a page."""

from collections.abc import Mapping

from dispatch.report import FieldCall, MorningReport
from dispatch.routes.called import Since
from dispatch.words import LocalClock
from web.order_rows import overtaken

OTHER_DAY = "it was made for another day"


def of_today(report: MorningReport, since: Since) -> bool:
    """Whether a morning is that of the farm's own day."""
    run = report.run
    clock = LocalClock(run.time_zone, run.time_zone, run.local_date)
    return clock.local(since.now).date() == run.local_date


def why_gone(report: MorningReport, since: Since) -> dict[str, str]:
    """Ids of fields in the order whose call does not stand any more, each with why."""
    today, gone = of_today(report, since), {}
    for one in report.fields:
        told = overtaken(one, since)
        if not told and one.rank is not None and not today:
            told = OTHER_DAY
        if told:
            gone[one.field.id] = told
    return gone


def without_gone(report: MorningReport, gone: Mapping[str, str]) -> MorningReport:
    """The same morning, in which nothing of a call that is gone can be acted on."""
    return report.model_copy(update={"fields": tuple(_cleared(one, gone) for one in report.fields)})


def _cleared(one: FieldCall, gone: Mapping[str, str]) -> FieldCall:
    if one.field.id not in gone:
        return one
    return one.model_copy(
        update={
            "rank": None,
            "windows": (),
            "spray_by_utc": None,
            "spray_by_bound": None,
            "because": (),
            "reasons": (gone[one.field.id],),
            "to_do": "",
        }
    )
