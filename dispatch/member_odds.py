"""Odds at each field by the members of an ensemble, one likely sky each. No call rests on them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Protocol

import numpy as np
import numpy.typing as npt

from agronomy.ensemble_odds import dry_chance_pct, members_counted, no_freeze_chance_pct
from dispatch.effect import WORK_DAYS
from dispatch.field_rules import FieldRules
from dispatch.further import colder_by_f
from farm.field import Field

Floats = npt.NDArray[np.float64]
Short = npt.NDArray[np.float32]

#: Start hours looked at [h]: the ten days that members tell.
MEMBER_HOURS = 240


class Members(Protocol):
    """One issue of an ensemble for a place, as the provider's reader tells it.

    ``temp_f`` [F] and ``rain_in`` [inch in the hour] have shape (members, hours), the first hour
    starting at ``start_utc``.
    """

    @property
    def source(self) -> str: ...
    @property
    def issued_utc(self) -> datetime | None: ...
    @property
    def start_utc(self) -> datetime: ...
    @property
    def temp_f(self) -> Short: ...
    @property
    def rain_in(self) -> Short: ...


@dataclass(frozen=True, eq=False)
class MemberOdds:
    """One field's odds by the start hour, the first at ``start_utc``; shape (hours,).

    ``freeze_pct`` is the chance of a freeze within seven days of the hour, counted from
    ``members`` of them, ``dry_pct`` that the hour and the rain-free hours after it stay dry; NaN
    not known. ``problem`` says why nothing is.
    """

    source: str
    issued_utc: datetime | None
    start_utc: datetime
    freeze_pct: Short
    dry_pct: Short
    members: Short
    problem: str = ""

    def at(self, values: Short, moment: datetime) -> float | None:
        """The value of an hour; None where it is not known."""
        hour = (moment - self.start_utc) // timedelta(hours=1)
        if not 0 <= hour < values.size or np.isnan(values[hour]):
            return None
        return round(float(values[hour]), 1)


def odds_not_known(source: str, start_utc: datetime, problem: str) -> MemberOdds:
    """The odds of a field whose members are not known, and why."""
    none = np.zeros(0, dtype=np.float32)
    return MemberOdds(source, None, start_utc, none, none, none, problem)


def member_odds(
    told: Mapping[str, Members],
    start_utc: datetime,
    registered: Sequence[Field],
    rules: Mapping[str, FieldRules],
) -> dict[str, MemberOdds]:
    """The odds of each field that ``told`` holds members for, by field.

    Parameters
    ----------
    told
        Members for each field's place, by field.
    start_utc
        First start hour, a whole hour.
    registered, rules
        The fields, and the lines and the treatment of each.
    """
    fields = [one for one in registered if one.id in told]
    if not fields:
        return {}
    colder_f = colder_by_f(fields, start_utc, MEMBER_HOURS)
    return {
        one.id: _odds(told[one.id], start_utc, colder_f[at], rules[one.id])
        for at, one in enumerate(fields)
    }


def _odds(members: Members, start_utc: datetime, colder_f: Floats, rules: FieldRules) -> MemberOdds:
    temp_f = _from(members.temp_f, members.start_utc, start_utc)
    rain_in = _from(members.rain_in, members.start_utc, start_utc)
    at_field_f = temp_f - colder_f
    stays_free = no_freeze_chance_pct(at_field_f, rules.gates.freeze_f, WORK_DAYS)
    dry = dry_chance_pct(rain_in, rules.treatment.rain_free_h, rules.gates.rain_threshold_in)
    return MemberOdds(
        source=members.source,
        issued_utc=members.issued_utc,
        start_utc=start_utc,
        freeze_pct=(100 - stays_free).astype(np.float32),
        dry_pct=dry.astype(np.float32),
        members=members_counted(at_field_f, 24 * WORK_DAYS).astype(np.float32),
    )


def _from(values: Short, starts_utc: datetime, start_utc: datetime) -> Short:
    """The values laid on the hours of a morning."""
    laid = np.full((values.shape[0], MEMBER_HOURS), np.nan, dtype=np.float32)
    shift = (starts_utc - start_utc) // timedelta(hours=1)
    first, last = max(0, shift), min(MEMBER_HOURS, shift + values.shape[1])
    if first < last:
        laid[:, first:last] = values[:, first - shift : last - shift]
    return laid
