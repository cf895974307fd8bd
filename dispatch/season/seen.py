"""What a morning of several seasons sees: the outlook and the effect of every kind of field.

Fields of one kind (their part of the co-op, how cold they lie, their mix) see the same sky, so each
kind stands for all of its fields, once for each season. The functions are those of a real
morning, `field_outlook` and `effect_curve`; nothing here makes gates or effects of its own.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np
import numpy.typing as npt

from agronomy.three_valued import YES
from dispatch.effect import EffectCurve, effect_curve, season_hours
from dispatch.field_rules import FieldRules
from dispatch.figures import spray_by
from dispatch.outlook import Outlook, field_outlook
from dispatch.season import assumptions as assumed
from dispatch.season.co_op import KINDS, POLICY, field_of, rules_of_mixes
from dispatch.season.sky import Told, forecast_of, morning_utc
from farm.field import Field

Flags = npt.NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class KindFields:
    """One field of each kind for each season of a block, and the rules of all."""

    fields: tuple[tuple[Field, ...], ...]
    rules: dict[str, FieldRules]


def kind_fields(seasons: int) -> KindFields:
    """Fields that stand for the kinds of each season."""
    by_mix = rules_of_mixes()
    rows = tuple(
        tuple(field_of(f"b{row}-k{at}", kind, 100.0) for at, kind in enumerate(KINDS))
        for row in range(seasons)
    )
    rules = {one.id: by_mix[kind.mix] for row in rows for one, kind in zip(row, KINDS, strict=True)}
    return KindFields(rows, rules)


@dataclass(frozen=True, eq=False)
class Seen:
    """A morning's outlook. ``row_of`` finds the row of a season's place and a kind."""

    day: int
    now: datetime
    outlook: Outlook
    curve: EffectCurve
    row_of: dict[tuple[int, int], int]

    def dry_starts(self, row: int) -> Flags:
        """Hours of today that are told to stay dry for as long as the mix needs, shape (24,)."""
        return np.asarray(self.outlook.dry[row, :24] == YES)

    def spray_by_s(self, row: int) -> float:
        """Last start with a full window [s since 1970], inf where only sight ends it; as told."""
        return last_start_s(self.outlook, row)


def last_start_s(outlook: Outlook, row: int) -> float:
    """Last start with a full window [s since 1970], inf where only sight ends it, 0 without one."""
    until, bound = spray_by(outlook, row, 0)
    return float("inf") if bound == "sight" else until.timestamp() if until else 0.0


def look_ahead(
    told: Told, day: int, wanted: Sequence[tuple[int, int]], standing: KindFields
) -> Seen:
    """Outlook and effect of the kinds asked for, as (season's place, kind)."""
    forecast = forecast_of(told, day)
    fields = [standing.fields[row][kind] for row, kind in wanted]
    cells = {
        one.id: row * assumed.RAIN_ZONES + KINDS[kind].zone
        for one, (row, kind) in zip(fields, wanted, strict=True)
    }
    outlook = field_outlook(forecast, cells, fields, standing.rules)
    # Mature fields only: a field not yet mature gets its readiness where its call is made.
    ready = np.ones((len(fields), season_hours(outlook, POLICY)))
    curve = effect_curve(outlook, fields, standing.rules, ready, POLICY)
    rows = {one: at for at, one in enumerate(wanted)}
    return Seen(day, morning_utc(day), outlook, curve, rows)
