"""Fields whose calls are made, put in the order in which people act on them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Protocol, TypeVar

from dispatch.decide import Why
from dispatch.harvest_room import beyond_room
from dispatch.reasons import place_sentence
from dispatch.record_figures import HarvestRoom
from dispatch.report import Call, FieldCall
from farm.field import Field
from farm.records import Spray

# The last start hour with a full window, how ripe the field is, its id: lowest first.
TieKey = tuple[float, float, str]


class _Costly(Protocol):
    @property
    def one(self) -> Field: ...

    @property
    def order_points(self) -> float | None: ...

    @property
    def tie_key(self) -> TieKey: ...


Costly = TypeVar("Costly", bound=_Costly)


@dataclass(frozen=True, eq=False)
class Settled:
    """A field whose call is made and whose place is open.

    ``order_points`` are those of the call before they are rounded, ``nodes_then`` the node count
    at the last visit.
    """

    call: FieldCall
    why: Why
    order_points: float | None
    nodes_then: float | None

    @property
    def one(self) -> Field:
        """The field."""
        return self.call.field

    @property
    def tie_key(self) -> TieKey:
        """What decides between fields that would lose the same."""
        call = self.call
        return tie_key(call.spray_by_utc, call.spray_by_bound, self.nodes_then, self.one.id)

    def placed(self, rank: int, *, held: bool) -> FieldCall:
        """The call with its place among those to spray; ``held``: the harvest has no room."""
        return self.call.model_copy(update={"rank": rank, "held_for_harvest": held})

    def placed_if_mature(self, place: int) -> FieldCall:
        """The call with the place it would take if it were found mature."""
        call, deciding = self.call, len(self.call.because)
        said = (*call.because, place_sentence(place), *call.reasons[deciding:])
        return call.model_copy(update={"place_if_mature": place, "reasons": said})


def tie_key(
    spray_by_utc: datetime | None, bound: str | None, nodes_then: float | None, field_id: str
) -> TieKey:
    """The earlier spray-by first, then the riper field."""
    last = float("inf") if bound == "sight" else spray_by_utc.timestamp() if spray_by_utc else 0.0
    return last, nodes_then if nodes_then is not None else float("inf"), field_id


def by_cost(some: Sequence[Costly], tie: float) -> list[Costly]:
    """Highest cost per rig-hour first; within a tie the earlier spray-by, then the riper field."""
    falling = sorted(some, key=lambda one: (-(one.order_points or 0.0), one.one.id))
    ordered: list[Costly] = []
    while falling:
        top = falling[0].order_points or 0.0
        tied = [one for one in falling if top - (one.order_points or 0.0) <= tie]
        ordered.extend(sorted(tied, key=lambda one: one.tie_key))
        falling = falling[len(tied) :]
    return ordered


def calls_in_order(
    settled: Sequence[Settled], tie: float, room: HarvestRoom | None, today: date
) -> list[FieldCall]:
    """The fields in the order: unknown, spray and short by cost, look, wait.

    Parameters
    ----------
    settled
        The fields that are not beside the order.
    tie
        Points that make no difference [acre-points an hour].
    room
        What the harvest has room for.
    today
        The day of the morning.
    """
    acting = by_cost(_with(settled, Call.SPRAY, Call.SHORT), tie)
    ahead = [one.order_points or 0.0 for one in acting]
    looks = sorted(
        _with(settled, Call.LOOK), key=lambda one: (-(one.order_points or 0), one.one.name)
    )
    held = beyond_room([one.one.acres for one in acting], room)
    return [
        *(one.call for one in sorted(_with(settled, Call.UNKNOWN), key=_unknown_key)),
        *(
            one.placed(place, held=stays)
            for place, (one, stays) in enumerate(zip(acting, held, strict=True), start=1)
        ),
        *(
            one.placed_if_mature(1 + sum(points > (one.order_points or 0) for points in ahead))
            for one in looks
        ),
        *(
            one.call
            for one in sorted(_with(settled, Call.WAIT), key=lambda one: _wait_key(one, today))
        ),
    ]


def calls_beside(
    calls: Sequence[FieldCall], sprays: Mapping[str, Spray], now: datetime
) -> list[FieldCall]:
    """Frozen fields, the soonest look first, then sprayed and picked ones by date."""

    def by_date(one: FieldCall) -> tuple[int, datetime, str]:
        place = ("frozen", "sprayed", "picked").index(one.standing)
        if one.standing == "frozen" and one.after_freeze is not None:
            return place, one.after_freeze.froze_utc, one.field.name
        spray = sprays.get(one.field.id)
        return place, now if spray is None else spray.sprayed_utc, one.field.name

    return sorted(calls, key=by_date)


def _with(settled: Sequence[Settled], *calls: Call) -> list[Settled]:
    return [one for one in settled if one.call.call in calls]


def _unknown_key(settled: Settled) -> tuple[bool, str, str]:
    return settled.call.maturity.state != "mature", settled.why, settled.one.name


def _wait_key(settled: Settled, today: date) -> tuple[object, ...]:
    """Mature fields first, then by the day they should be ready, last those that will not be."""
    figures = settled.call.maturity
    day = figures.ready_on or figures.look_again_on or today
    return settled.why == "not_ready", figures.ready_on is None, day, settled.one.name
