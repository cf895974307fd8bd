"""Fields that somebody asked to have looked at again and that nobody has walked since."""

from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from dispatch.words import day

if TYPE_CHECKING:
    from farm.look_request import LookRequest
    from scheduler.opening import OpenFarm

ASKED_HEADERS = ("field", "asked by", "on")


def open_requests(farm: "OpenFarm") -> "tuple[LookRequest, ...]":
    """Requests newer than the last visit to their field, the oldest first."""
    visits = farm.stores.visits.latest_by_field(farm.stores.retractions.taken_back(farm.now))
    asked = [
        one
        for one in farm.stores.look_requests.all()
        if one.field_id in farm.fields_by_id
        and (one.field_id not in visits or visits[one.field_id].observed_utc < one.asked_utc)
    ]
    return tuple(sorted(asked, key=lambda one: one.asked_utc))


def asked_rows(requests: "tuple[LookRequest, ...]", farm: "OpenFarm") -> list[tuple[str, ...]]:
    """The requests as rows to read, under `ASKED_HEADERS`."""
    fields = farm.fields_by_id
    return [
        (
            fields[one.field_id].name,
            one.person_id,
            day(one.asked_utc.astimezone(ZoneInfo(fields[one.field_id].time_zone)).date()),
        )
        for one in requests
    ]


def asked_json(requests: "tuple[LookRequest, ...]") -> list[dict[str, Any]]:
    """The requests for other programs."""
    return [
        {
            "field_id": one.field_id,
            "person_id": one.person_id,
            "asked_utc": one.asked_utc.isoformat(),
        }
        for one in requests
    ]
