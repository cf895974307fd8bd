"""One field as one reader may see it: its call, and whether that still stands."""

from dataclasses import dataclass

from dispatch.report import Call, FieldCall, MorningReport
from dispatch.routes.called import Since, kept_back
from dispatch.words import LocalClock
from notify.privacy import mentions, names_in, names_of_others
from web.order_rows import SPRAYED_SINCE, clock_of, overtaken
from web.units import Units
from web.viewer import Viewer


@dataclass(frozen=True)
class FieldView:
    """A field in a morning that is as its ``viewer`` may see it.

    ``gone`` says why the call does not stand any more, "" while it does; ``of_today`` is whether
    the morning is today's. ``hidden`` are names that the reader must not read.
    """

    viewer: Viewer
    report: MorningReport
    one: FieldCall
    since: Since
    units: Units
    gone: str
    of_today: bool
    hidden: frozenset[str] = frozenset()

    @property
    def clock(self) -> LocalClock:
        """Times as they are told on the field, as of the morning."""
        return clock_of(self.report, self.one)

    @property
    def acting(self) -> bool:
        """Whether the call is to spray, and stands."""
        called = self.one.call in (Call.SPRAY, Call.SHORT) and self.one.rank is not None
        return called and not self.gone and not self.one.held_for_harvest

    def told(self, text: str) -> str:
        """A text as the reader may read it: "" where it names what is not theirs to know."""
        if not self.hidden or not mentions(text, self.hidden, self._own_names):
            return text
        return ""

    @property
    def _own_names(self) -> frozenset[str]:
        return names_in(self.report.fields)


def field_view(
    report: MorningReport, field_id: str, viewer: Viewer, since: Since, units: Units
) -> FieldView | None:
    """The field of that id, None where the reader sees none in this morning."""
    seen = viewer.seen(report)
    one = next((one for one in seen.fields if one.field.id == field_id), None)
    if one is None:
        return None
    run = report.run
    farm_clock = LocalClock(run.time_zone, run.time_zone, run.local_date)
    of_today = farm_clock.local(since.now).date() == run.local_date
    hidden = names_of_others(report, viewer.grower_ids) if viewer.role == "grower" else frozenset()
    return FieldView(
        viewer=viewer,
        report=seen,
        one=one,
        since=since,
        units=units,
        gone=_gone(one, since, of_today),
        of_today=of_today,
        hidden=hidden,
    )


def _gone(one: FieldCall, since: Since, of_today: bool) -> str:
    if one.standing != "open":
        return ""
    if one.field.id in since.sprayed:
        return SPRAYED_SINCE
    if one.field.id in since.frozen:
        stopped = kept_back(one, since)
        return stopped[0] if stopped else ""
    gone = overtaken(one, since)
    if not gone and one.rank is not None and not of_today:
        return "it was made for another day"
    return gone
