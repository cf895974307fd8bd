"""Who reads the calendar of an address: whoever it belongs to, as they stand at this moment."""

from collections.abc import Callable

from fastapi import Request

from dispatch.report import MorningReport
from farm.board_feed import Feed
from notify.privacy import mentions, names_in, names_of_others
from web.account_sessions import Accounts, reader_of
from web.desk import Desk
from web.enter import HERE
from web.sessions import Reader
from web.standing_order import why_gone
from web.stop_calendar import stops_ics
from web.viewer import Viewer
from web.window_calendar import as_text, empty_calendar, windows_ics


def reader_of_feed(request: Request, feed: Feed) -> Viewer | None:
    """The person; None where their account was closed, or the board has other people now."""
    accounts: Accounts | None = request.app.state.accounts
    if feed.of_account != (accounts is not None):
        return None
    if accounts is None:
        return _viewer(HERE)
    account = accounts.of_name(feed.owner)
    if account is None or account.ended_utc is not None:
        return None
    return _viewer(reader_of(account))


def calendar_text(desk: Desk, feed: Feed, reader: Viewer) -> str:
    """The calendar as it is now; without a plan it is empty."""
    report, plan = desk.mornings.latest(), None
    if feed.kind == "rigs":
        plan = desk.rigs.latest()
    if report is None or (feed.kind == "rigs" and plan is None):
        return as_text(empty_calendar(desk.farm.name))
    since, seen = desk.mornings.since(report), reader.seen(report)
    revision = desk.outside.revision()
    if plan is None:
        return windows_ics(seen, why_gone(seen, since), revision, desk.farm.units)
    return stops_ics(
        plan,
        {one.field.id: one for one in seen.fields},
        since,
        desk.clock(),
        revision,
        farm_name=report.run.farm_name,
        rig_id=feed.rig_id,
        hide=hiding(report, reader),
    )


def hiding(report: MorningReport, reader: Viewer) -> Callable[[str], str] | None:
    """Leaves out texts that name what a reader may not know of; None for who may know all."""
    if reader.role != "grower":
        return None
    hidden = names_of_others(report, reader.grower_ids)
    own = names_in(reader.seen(report).fields)
    return lambda text: "" if mentions(text, hidden, own) else text


def _viewer(reader: Reader) -> Viewer:
    return Viewer(reader.name, reader.role, reader.grower_ids)
