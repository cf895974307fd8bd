"""What has changed in the line since the day before, in one sentence."""

from collections.abc import Collection, Sequence

from dispatch.report import FieldCall, MorningReport
from dispatch.routes.called import Since
from web.order_rows import call_word, name_of, overtaken

#: Names told of each kind; more are counted.
NAMES = 6


def changes_line(report: MorningReport, since: Since, before: Collection[str]) -> str:
    """Fields newly called, and those called the day before that are called no more.

    Parameters
    ----------
    report
        The plan, as the reader may see it.
    since
        What has happened since it was made: what that overtook is called no more.
    before
        Ids of the fields that were called the day before, the reader's and others'.
    """
    called = [one for one in report.to_act_on() if not overtaken(one, since)]
    ids = {one.field.id for one in called}
    new = [one for one in called if one.field.id not in before]
    gone = [one for one in report.fields if one.field.id in before and one.field.id not in ids]
    parts = []
    if new:
        parts.append(f"new in the line: {_named([name_of(one) for one in new])}")
    if gone:
        names = [f"{name_of(one)} ({_now(one, since)})" for one in gone]
        parts.append(f"called no more: {_named(names)}")
    return f"Since yesterday {'; '.join(parts)}." if parts else ""


def _now(one: FieldCall, since: Since) -> str:
    return "overtaken" if overtaken(one, since) else call_word(one).lower()


def _named(names: Sequence[str]) -> str:
    more = len(names) - NAMES
    return ", ".join(names[:NAMES]) + (f" +{more} more" if more > 0 else "")
