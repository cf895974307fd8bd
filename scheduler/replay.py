"""A kept morning decided again from what it was decided from, and held against what was kept."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from typing import TYPE_CHECKING, Any

from dispatch.report import MorningReport
from dispatch.words import LocalClock, day, plural
from notify.user_text import plain_line
from scheduler.data_error import DataError
from scheduler.morning import make_calls
from scheduler.morning_inputs import InputsLostError, read_inputs
from scheduler.plans import DRY_RUN, NoPlanError

if TYPE_CHECKING:
    from scheduler.opening import OpenFarm
    from storage.plan_store import KeptPlan
    from storage.stores import Stores

#: Differences told before the rest is only counted.
MOST_TOLD = 20


@dataclass(frozen=True)
class Replay:
    """A kept report, the one decided again, and every difference between them in plain words.

    ``kept_by`` is the version that kept it, ``same_rules`` whether that one decided by the same
    rules as this one does.
    """

    kept: MorningReport
    again: MorningReport
    differences: tuple[str, ...]
    kept_by: str
    same_rules: bool


def replay_at(farm: "OpenFarm", moment: datetime) -> Replay:
    """Replay the morning last kept on the local date of a moment, up to that moment.

    Where none was kept by then it is the last of that date: a morning for six is made some
    seconds past it. One that was sent comes before one that was only tried. Nobody is asked for
    a forecast, nothing is sent and nothing is kept.

    Raises
    ------
    NoPlanError
        No morning of that date was kept.
    DataError
        Its inputs are not all there any more.
    """
    local_date = moment.astimezone(farm.zone).date()
    midnight = datetime.combine(local_date + timedelta(days=1), time(), farm.zone)
    for kind in ("morning", DRY_RUN):
        for until in (moment, midnight.astimezone(UTC)):
            kept = farm.stores.plans.made_by(until, kind)
            if kept is not None and kept.local_date == local_date:
                return replayed(farm.stores, kept)
    raise NoPlanError(
        f"replay: no morning of {local_date} was kept; leave out --replay to decide it from the "
        "forecasts kept"
    )


def replayed(stores: "Stores", kept: "KeptPlan") -> Replay:
    """A kept plan, decided again from its inputs."""
    from dispatch.ranking import POLICY_VERSION

    report = kept.report
    assert report is not None
    try:
        used = read_inputs(kept.inputs, [one.field for one in report.fields], stores)
    except InputsLostError as lost:
        raise DataError(
            [f"replay of {kept.local_date}: cannot be replayed, because {lost}"]
        ) from None
    again, _ = make_calls(used)
    return Replay(
        kept=report,
        again=again,
        differences=tuple(differences(report, again)),
        kept_by=str(kept.inputs.get("warmspell", "")),
        same_rules=kept.inputs.get("policy_version") == POLICY_VERSION,
    )


def differences(kept: MorningReport, again: MorningReport) -> Iterator[str]:
    """Every figure that differs, with its field, as kept and as it came out again."""
    yield from _apart("run", _plain(kept.run), _plain(again.run))
    one_by_id = {one.field.id: one for one in again.fields}
    for one in kept.fields:
        name = plain_line(one.field.name)
        other = one_by_id.get(one.field.id)
        if other is None:
            yield f"{name}: was there, is not"
        else:
            yield from _apart(name, _plain(one), _plain(other))
    order = [one.field.id for one in kept.fields]
    if sorted(order) == sorted(one_by_id) and order != [one.field.id for one in again.fields]:
        yield "the order of the fields"


def verdict(told: Replay) -> list[str]:
    """What a replay found, line by line."""
    run = told.kept.run
    clock = LocalClock(run.time_zone, run.time_zone, run.local_date)
    what = f"The morning of {day(run.local_date)}, made {clock.hour(run.made_utc)}"
    if not told.differences:
        return [f"same: {what}, comes out again to the last digit, {plural(run.fields, 'field')}."]
    lines = [f"{plural(len(told.differences), 'difference')}: {what}."]
    if not told.same_rules:
        lines.append(f"It was made by the rules of warmspell {told.kept_by}, which were others.")
    lines += [f"  {one}" for one in told.differences[:MOST_TOLD]]
    if len(told.differences) > MOST_TOLD:
        lines.append(f"  and {len(told.differences) - MOST_TOLD} more")
    return lines


def _plain(figures: Any) -> Any:
    return figures.model_dump(mode="json")


def _apart(where: str, kept: Any, again: Any) -> Iterator[str]:
    if isinstance(kept, dict) and isinstance(again, dict):
        for key in dict.fromkeys((*kept, *again)):
            yield from _apart(f"{where}: {key}", kept.get(key), again.get(key))
    elif _list(kept) and _list(again) and len(kept) == len(again):
        for place, (one, other) in enumerate(zip(kept, again, strict=True)):
            yield from _apart(f"{where}: {place}", one, other)
    elif kept != again and not (kept is again or (kept != kept and again != again)):
        yield f"{where}: kept {_short(kept)}, now {_short(again)}"


def _list(value: Any) -> bool:
    return isinstance(value, Sequence) and not isinstance(value, str)


def _short(value: Any) -> str:
    text = plain_line(str(value))
    return text if len(text) <= 60 else text[:57] + "..."
