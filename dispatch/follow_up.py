"""A sprayed field: when to check its leaf drop, whether it wants more, when to harvest."""

from collections.abc import Iterable
from datetime import date, datetime, time, timedelta

from agronomy.leaf_drop import (
    HARVEST_AFTER_DAYS,
    LEAF_DROP_BAR_PCT,
    PASSES_APART_DAYS,
    SECOND_PASS_FROM_DAYS,
)
from dispatch.report import FollowUp
from dispatch.words import LocalClock
from farm.records import Spray
from farm.treatment import Treatment

#: Days after a spray on which leaf drop is checked [days]. Trials rate at 7 and 14 days (S9, S69).
CHECK_DAYS = (7, 14)

# Moments at which leaf drop was looked at, and what share of the leaves was off [%].
LeafDrops = tuple[tuple[datetime, float], ...]


def follow_up(
    spray: Spray,
    treatment: Treatment | None,
    treatment_name: str,
    leaf_drops: LeafDrops,
    now: datetime,
    clock: LocalClock,
    expected_on: date | None = None,
) -> FollowUp:
    """What comes after a spray.

    Parameters
    ----------
    treatment
        What was sprayed, with the label values entered for it; None if it is not known any more.
    leaf_drops
        Leaf drop by visit, up to now; those before the spray are passed over.
    expected_on
        Day on which leaf drop should be full, None if not known.
    """
    on = clock.local(spray.sprayed_utc).date()
    first, second = (on + timedelta(days=days) for days in CHECK_DAYS)
    label_days = None if treatment is None else treatment.preharvest_days
    seen = max((one for one in leaf_drops if one[0] > spray.sprayed_utc), default=None)
    again = seen is not None and _wants_more(spray, *seen)
    return FollowUp(
        spray=spray,
        treatment_name=treatment_name,
        days_since=round((now - spray.sprayed_utc) / timedelta(days=1), 2),
        check_first_on=first,
        check_second_on=second,
        due_today=clock.today in (first, second),
        leaf_drop_pct=seen and seen[1],
        leaf_drop_seen_utc=seen and seen[0],
        leaf_drop_expected_on=expected_on,
        second_pass=again,
        second_pass_words=_second_pass_words(*seen, clock) if seen and again else "",
        harvest_from=harvest_from(spray, label_days, clock),
        harvest_label_entered=label_days is not None,
    )


def harvest_from(spray: Spray, label_days: float | None, clock: LocalClock) -> date:
    """First whole day for harvest: 14 days on, and never before the label's days are over."""
    earliest = clock.local(spray.sprayed_utc).date() + timedelta(days=HARVEST_AFTER_DAYS)
    if label_days is None:
        return earliest
    over = clock.local(spray.sprayed_utc + timedelta(days=label_days))
    whole = over.date() + timedelta(days=over.time() > time())
    return max(earliest, whole)


def treatment_of(spray: Spray, treatments: Iterable[Treatment]) -> Treatment | None:
    """The treatment that was sprayed."""
    return next((one for one in treatments if one.id == spray.treatment_id), None)


def _wants_more(spray: Spray, seen_utc: datetime, leaf_drop_pct: float) -> bool:
    since = (seen_utc - spray.sprayed_utc) / timedelta(days=1)
    return since >= SECOND_PASS_FROM_DAYS and leaf_drop_pct < LEAF_DROP_BAR_PCT


def _second_pass_words(seen_utc: datetime, leaf_drop_pct: float, clock: LocalClock) -> str:
    seen = clock.day_name(clock.local(seen_utc).date())
    # 74.6 must not read as "75 %, below 75".
    shown = f"{int(leaf_drop_pct * 10) / 10:g}"
    low, high = PASSES_APART_DAYS
    return (
        f"{shown} % leaf drop {seen}, below {LEAF_DROP_BAR_PCT:g}: consider a second pass; "
        f"two passes are {low} to {high} days apart in Australia (S40)."
    )
