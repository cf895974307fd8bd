"""The board's pages as figures for programs, made from what their reader may see."""

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from datetime import datetime

from dispatch.report import FieldCall, MorningReport
from dispatch.routes.called import Since
from dispatch.routes.plan import RoutePlan
from web.api_shapes import (
    AfterAnswer,
    FieldAnswer,
    HealthAnswer,
    LeftOutAnswer,
    OrderAnswer,
    RigsAnswer,
    SourceAnswer,
    StopAnswer,
    ToldCall,
)
from web.desk import Desk
from web.feed_reader import hiding
from web.rig_standing import stop_standing
from web.standing_order import of_today, why_gone, without_gone
from web.viewer import Viewer

#: Figures of a call that are told under the name they have.
_SAME = tuple(name for name in FieldAnswer.model_fields if name in FieldCall.model_fields)


class Told:
    """The newest morning as one reader may see it, and what does not stand of it any more."""

    def __init__(self, desk: Desk, report: MorningReport, reader: Viewer) -> None:
        self.desk = desk
        self.since: Since = desk.mornings.since(report)
        self.plain = reader.seen(report)
        self.gone: Mapping[str, str] = why_gone(self.plain, self.since)
        self.report = without_gone(self.plain, self.gone)
        self.hide: Callable[[str], str] | None = hiding(report, reader)

    def field(self, one: FieldCall) -> FieldAnswer:
        """One field of `report`."""
        same = {name: getattr(one, name) for name in _SAME if name != "call"}
        if self.hide is not None and one.follow_up is not None:
            same["follow_up"] = _hidden(one, self.hide)
        return FieldAnswer(
            **same,
            field_id=one.field.id,
            name=one.field.name,
            grower_id=one.field.grower_id,
            grower=one.grower_name,
            acres=one.field.acres,
            time_zone=one.field.time_zone,
            treatment_id=one.field.treatment_id,
            treatment=one.treatment_name,
            call=self.call(one),
            overtaken=self.gone.get(one.field.id, ""),
            standing=one.standing,
        )

    def call(self, one: FieldCall) -> ToldCall:
        """The call, or that it does not stand any more."""
        return "overtaken" if one.field.id in self.gone else one.call.value

    def fields(self, some: Sequence[FieldCall]) -> tuple[FieldAnswer, ...]:
        """Some of them."""
        return tuple(self.field(one) for one in some)


def order_answer(told: Told, first: int, count: int) -> OrderAnswer:
    """The order, ``count`` fields of it from ``first`` on."""
    run, counts = told.report.run, dict[ToldCall, int]()
    for one in told.report.fields:
        call = told.call(one)
        counts[call] = counts.get(call, 0) + 1
    return OrderAnswer(
        farm=run.farm_name,
        made_utc=run.made_utc,
        local_date=run.local_date,
        of_today=of_today(told.report, told.since),
        late=run.late,
        stop=run.stop,
        queue_days=run.queue_days,
        counts=counts,
        total=len(told.report.fields),
        first=first,
        fields=told.fields(told.report.fields[first : first + count]),
    )


def after_answer(told: Told) -> AfterAnswer:
    """The fields beside the order."""
    report = told.report
    return AfterAnswer(
        made_utc=report.run.made_utc,
        sprayed=told.fields(report.standing("sprayed")),
        frozen=told.fields(report.standing("frozen")),
        picked=told.fields(report.standing("picked")),
    )


def rigs_answer(told: Told, plan: RoutePlan) -> RigsAnswer:
    """The plan of the rigs; who may not see all gets their own stops."""
    calls, now = {one.field.id: one for one in told.plain.fields}, told.desk.clock()
    hide = told.hide or (lambda text: text)
    stops = []
    for day in plan.days:
        for stop in day.stops:
            if told.hide is not None and stop.field_id not in calls:
                continue
            standing = stop_standing(day, stop, calls, told.since, now)
            stops.append(
                StopAnswer(
                    rig_id=day.rig_id,
                    rig_name=day.rig_name,
                    on=day.on,
                    field_id=stop.field_id,
                    field_name=stop.field_name,
                    acres=stop.acres,
                    start_utc=stop.start_utc,
                    end_utc=stop.end_utc,
                    full=stop.full,
                    locked=stop.locked,
                    standing=standing.mark,
                    why=hide(standing.words),
                )
            )
    left = [one for one in plan.left_out if told.hide is None or one.field_id in calls]
    return RigsAnswer(
        revision=plan.revision,
        made_utc=plan.made_utc,
        morning_utc=plan.morning_utc,
        of_newest_morning=plan.morning_utc == told.report.run.made_utc,
        stops=tuple(stops),
        left_out=tuple(
            LeftOutAnswer(
                field_id=one.field_id,
                field_name=one.field_name,
                why=hide(one.why),
                would_change=hide(one.would_change),
            )
            for one in left
        ),
    )


def health_answer(told: Told) -> HealthAnswer:
    """How the morning and its forecasts stand now."""
    run, now = told.report.run, told.desk.clock()
    by_source: dict[str, list[FieldCall]] = defaultdict(list)
    for one in told.report.fields:
        by_source[one.forecast.source].append(one)
    return HealthAnswer(
        now_utc=now,
        made_utc=run.made_utc,
        local_date=run.local_date,
        of_today=of_today(told.report, told.since),
        late=run.late,
        fields=len(told.report.fields),
        not_known=sum(told.call(one) == "unknown" for one in told.report.fields),
        overtaken=len(told.gone),
        sources=tuple(_source(name, some, now) for name, some in sorted(by_source.items())),
    )


def _source(name: str, some: Sequence[FieldCall], now: datetime) -> SourceAnswer:
    issued = [one.forecast.issued_utc for one in some]
    known = [one for one in issued if one is not None]
    oldest = min(known, default=None)
    return SourceAnswer(
        source=name,
        fields=len(some),
        oldest_issued_utc=oldest,
        oldest_age_h=None if oldest is None else round((now - oldest).total_seconds() / 3600, 2),
        problems=tuple(sorted({one.forecast.problem for one in some} - {""})),
    )


def _hidden(one: FieldCall, hide: Callable[[str], str]) -> object:
    assert one.follow_up is not None
    spray = one.follow_up.spray
    texts = {"note": hide(spray.note), "applicator": hide(spray.applicator)}
    return one.follow_up.model_copy(update={"spray": spray.model_copy(update=texts)})
