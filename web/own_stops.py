"""When rigs come to a grower's fields, and nothing else of the plan."""

from dataclasses import dataclass

from dispatch.words import day
from notify.user_text import plain_line
from web.rig_rows import PlanView, field_address
from web.rig_standing import StopStanding, stop_standing


@dataclass(frozen=True)
class OwnStop:
    """A rig's stop at one of a grower's fields."""

    address: str
    name: str
    rig: str
    when: str
    standing: StopStanding
    fixed: bool


def own_stops(view: PlanView) -> tuple[OwnStop, ...]:
    """The stops at fields of the view's report, from today on, in the order of their time."""
    calls, clock = view.calls, view.clock
    own = [
        (one, stop)
        for one in view.plan.days
        if one.on >= clock.today
        for stop in one.stops
        if stop.field_id in calls
    ]
    return tuple(
        OwnStop(
            address=field_address(stop.field_id),
            name=plain_line(stop.field_name),
            rig=plain_line(one.rig_name),
            when=f"{day(one.on)}, {clock.hour(stop.start_utc)} to {clock.hour(stop.end_utc)}",
            standing=stop_standing(one, stop, calls, view.since, view.now),
            fixed=stop.locked,
        )
        for one, stop in sorted(own, key=lambda told: told[1].start_utc)
    )
