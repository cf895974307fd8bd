"""A part of a field reported done; with the last one the whole field is."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from dispatch.routes.part_names import field_of, part_of
from scheduler.data_error import DataError
from scheduler.route_before import notes_of_season, parts_done
from scheduler.route_notes import keep_note, planned_parts

if TYPE_CHECKING:
    from farm.field import Field
    from scheduler.opening import OpenFarm


@dataclass(frozen=True)
class PartDone:
    """A part that was sprayed. ``ended_utc`` is when the last of all was; None until then."""

    part: int
    parts: int
    left: tuple[int, ...]
    ended_utc: datetime | None = None


def part_reported(
    farm: "OpenFarm", field: "Field", asked: int | None, when: datetime
) -> PartDone | None:
    """Keep that a part of a field was sprayed; None for one that is planned whole.

    The last part is not kept: with it the whole field is to be logged. Without ``asked`` it is
    the part whose turn it is in the plan.

    Raises
    ------
    DataError
        The field is not planned in that part, or it was reported done before.
    """
    done = {number: at for (number, _), at in _done(farm, field.id).items()}
    parts = _count(farm, field.id)
    if parts is None:
        if asked is not None:
            raise DataError([f"--part: got {asked}, but {field.name} is not planned in parts"])
        return None
    part = asked or _next(farm, field.id, [one for one in range(1, parts + 1) if one not in done])
    if not 1 <= part <= parts:
        raise DataError([f"--part: got {part}, wanted 1 to {parts} of {field.name}"])
    if part in done:
        raise DataError([f"--part: part {part} of {field.name} was reported done before"])
    left = tuple(one for one in range(1, parts + 1) if one not in {*done, part})
    if not left:
        return PartDone(part, parts, (), max([when, *done.values()]))
    keep_note(farm, "part_done", field_id=field.id, part=part, parts=parts, from_utc=when)
    return PartDone(part, parts, left)


def part_taken_back(farm: "OpenFarm", field: "Field", part: int) -> None:
    """Keep that a part of a field was not sprayed after all; DataError if it was not told."""
    told = {number: parts for number, parts in _done(farm, field.id)}
    if part not in told:
        raise DataError([f"--part: part {part} of {field.name} was not reported done"])
    keep_note(farm, "part_not_done", field_id=field.id, part=part, parts=told[part])


def _done(farm: "OpenFarm", field_id: str) -> dict[tuple[int, int], datetime]:
    """When parts of a field were sprayed that is not sprayed whole since: number, of how many."""
    from scheduler.season_records import readable_records

    sprays = readable_records(farm.stores, farm.config.time_zone, farm.now).sprays
    told = parts_done(tuple(notes_of_season(farm, farm.now)), sprays)
    return {
        found: at
        for name, at in told.items()
        if field_of(name) == field_id and (found := part_of(name))
    }


def _count(farm: "OpenFarm", field_id: str) -> int | None:
    done = tuple(_done(farm, field_id))
    planned = planned_parts(farm, field_id)
    return done[0][1] if done else planned[0].parts if planned else None


def _next(farm: "OpenFarm", field_id: str, left: Sequence[int]) -> int:
    """The part that the plan has first of those left, or the last one left."""
    told = [one for one in planned_parts(farm, field_id) if one.part in left]
    if told:
        return min(told, key=lambda one: one.start_utc).part or 1
    if len(left) != 1:
        raise DataError(["--part: the plan kept last has none of those left; say which one"])
    return left[0]
