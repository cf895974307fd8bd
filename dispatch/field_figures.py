"""The figures of one field's call: windows, freezes, maturity, odds, strips, follow-up.

Numbers that are not known are None.
"""

from datetime import date
from typing import Literal

from pydantic import AwareDatetime, BaseModel, ConfigDict

from farm.records import Spray

SprayHour = Literal["full", "partial", "no", "unknown"]
# The count that tells what an early spray gives up.
GivenUpBy = Literal["nodes", "open"]


class Figure(BaseModel):
    """A record that cannot be changed and knows all its fields."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Window(Figure):
    """A run of hours in which spraying may start; ``end_utc`` is the end of its last hour.

    ``dry_h`` is how long no rain is seen after its best start hour, ``effect_pct`` the effect
    from that hour. ``wind_low_mph`` to ``wind_high_mph`` from ``wind_from`` (compass letters).
    """

    start_utc: AwareDatetime
    end_utc: AwareDatetime
    best_utc: AwareDatetime
    effect_pct: float
    full: bool
    dry_h: float | None = None
    dry_to_sight_end: bool = False
    wind_low_mph: float | None = None
    wind_high_mph: float | None = None
    wind_from: str | None = None


class FreezeFigures(Figure):
    """When it freezes, how sure, and how far that is known.

    ``lead_days`` runs from the best start hour (or now) to the first hour at or below
    ``freeze_f``; None means no freeze seen, which holds through ``known_through_utc`` only.
    ``chance_7d_pct`` is the chance of a freeze, ``killing_chance_7d_pct`` of a killing one,
    within seven days of that hour, the field's cold spot included. ``low_f`` is the lowest
    forecast low of those nights and ``low_utc`` the morning it belongs to.

    ``ensemble_chance_7d_pct`` is the chance of a freeze counted from ``ensemble_members`` members
    of ``ensemble_source``, for the same hour; ``ensemble_problem`` says why it is not known. No
    call rests on it.
    """

    first_utc: AwareDatetime | None = None
    killing_utc: AwareDatetime | None = None
    lead_days: float | None = None
    nights_free: int | None = None
    chance_7d_pct: float | None = None
    killing_chance_7d_pct: float | None = None
    known_through_utc: AwareDatetime | None = None
    low_f: float | None = None
    low_utc: AwareDatetime | None = None
    ensemble_chance_7d_pct: float | None = None
    ensemble_members: int | None = None
    ensemble_source: str = ""
    ensemble_issued_utc: AwareDatetime | None = None
    ensemble_problem: str = ""


class ComingDay(Figure):
    """Where a field should stand on a coming day, at the season's normal heat.

    ``nacb_low`` to ``nacb_high`` is where it lies 80 times in 100. ``percent_open`` is carried on
    from the visit's, or goes with the node count where none was taken.
    """

    date: date
    nacb: float
    nacb_low: float
    nacb_high: float
    percent_open: float


class MaturityFigures(Figure):
    """What the last visit says, and a projection from it.

    ``ready_on`` and ``nacb_today`` are projected at the season's normal heat, with a rate fitted
    to the field's own visits where ``opening_visits`` is 2 or more, else an assumed one; low and
    high are where the field lies 80 times in 100.

    ``nacb_low`` to ``nacb_high`` and ``percent_open_low`` to ``percent_open_high`` are where the
    field lies 80 times in 100, by the plants and bolls counted; ``nacb_spread_assumed`` where
    only their mean was written down. ``chance_mature_pct`` is the chance that the field's mean
    NACB is at or below the limit, ``count_more`` how many plants more would make that sure: 0
    when it is, None beside a chance when 100 plants would hardly do.

    ``coming_days`` are the days from tomorrow of a field that was counted and not found mature. No
    call rests on them.
    """

    state: Literal["mature", "nearly", "not_yet", "unknown"]
    nodes_above_cracked_boll: float | None = None
    percent_open: float | None = None
    plants_counted: int | None = None
    visited_utc: AwareDatetime | None = None
    visit_age_days: float | None = None
    scout: str = ""
    cut_test: Literal["passed", "failed"] | None = None
    ready_on: date | None = None
    ready_on_earliest: date | None = None
    ready_on_latest: date | None = None
    look_again_on: date | None = None
    nacb_today: float | None = None
    nacb_today_low: float | None = None
    nacb_today_high: float | None = None
    opening_visits: int | None = None
    reasons: tuple[str, ...] = ()
    nacb_low: float | None = None
    nacb_high: float | None = None
    nacb_spread_assumed: bool = False
    chance_mature_pct: float | None = None
    count_more: int | None = None
    percent_open_low: float | None = None
    percent_open_high: float | None = None
    coming_days: tuple[ComingDay, ...] = ()


class VisitGain(Figure):
    """What walking a field today is expected to be worth.

    ``points`` is the cost of the back of the line if it were mature times the chance that it
    is; ``acres`` the same in perfectly sprayed acres.
    """

    chance_mature_pct: float
    cost_if_mature_pct: float
    points: float
    acres: float
    never_counted: bool = False


class ForecastFigures(Figure):
    """Whose forecast, how old. ``problem`` says in plain words what is wrong with it."""

    source: str = ""
    cell_id: str = ""
    issued_utc: AwareDatetime | None = None
    age_h: float | None = None
    age_mark: Literal["fresh", "ageing", "old", "very_old", "none"] = "none"
    problem: str = ""
    rejected: tuple[str, ...] = ()


class Factors(Figure):
    """The multiplication behind an effect at one start hour, each factor 0 to 1.

    ``wash_chance_pct`` is what the effect counts with: any measurable rain. ``wash_low_pct`` to
    ``wash_high_pct`` bound the chance of rain that washes, by what chances told for whole
    intervals, and amounts, can mean; None on climate and where they are not known.

    ``ensemble_dry_pct`` is the chance that the spray hour and the rain-free hours after it stay
    dry, counted from the members of an ensemble; it has no part in the effect.
    """

    start_utc: AwareDatetime
    warmth: float
    warmth_alive: float
    wash_chance_pct: float
    dry: float
    ready: float
    effect_pct: float
    dose: float
    on_climate: bool = False
    wash_low_pct: float | None = None
    wash_high_pct: float | None = None
    ensemble_dry_pct: float | None = None


class HourStrip(Figure):
    """The next hours of a field, for a small strip: one entry an hour from ``start_utc``.

    ``spray`` is "full", "partial", "no" or "unknown"; ``why_not`` the first gate in the way.
    ``leaf_wet`` (by dew, not rain) and ``inversion`` (to be assumed) hold one letter an hour:
    ``y`` yes, ``n`` no, ``?`` not known. They and the two quantities before them are empty in
    records that were made without them. No call rests on them.
    """

    start_utc: AwareDatetime
    spray: tuple[SprayHour, ...]
    why_not: tuple[str, ...]
    temp_f: tuple[float | None, ...]
    wind_mph: tuple[float | None, ...]
    rain_chance_pct: tuple[float | None, ...]
    humidity_pct: tuple[float | None, ...] = ()
    sky_pct: tuple[float | None, ...] = ()
    leaf_wet: str = ""
    inversion: str = ""


class SeasonNight(Figure):
    """One night at the field: its low and the morning it comes, and the odds of that night alone.

    ``freeze_pct`` and ``killing_pct`` are the chances of a freeze and of a killing freeze on this
    night, given that none came on the nights before it. ``low_f`` is None where no low is told
    and the odds are those of climate.
    """

    low_utc: AwareDatetime
    low_f: float | None
    freeze_pct: float
    killing_pct: float


class SeasonStrip(Figure):
    """Every hour the forecast of a field reaches, one entry an hour from ``start_utc``.

    ``workable``, ``dry`` and ``free`` (nights free of freezing) hold one letter an hour: ``y``
    yes, ``n`` no, ``?`` not known. ``effect_pct`` is the effect of spraying in that hour, on
    climate from ``climate_from_utc`` on. Spray hours and effect are not told while the call is
    not known. The limits are those the gates were judged by.
    """

    start_utc: AwareDatetime
    temp_f: tuple[float | None, ...]
    wind_mph: tuple[float | None, ...]
    rain_chance_pct: tuple[float | None, ...]
    workable: str
    dry: str
    free: str
    spray: tuple[SprayHour, ...]
    effect_pct: tuple[float | None, ...]
    climate_from_utc: AwareDatetime
    nights: tuple[SeasonNight, ...]
    freeze_f: float
    killing_f: float
    freeze_free_days: int
    wind_min_mph: float
    wind_max_mph: float
    rain_chance_max_pct: float


class FollowUp(Figure):
    """A sprayed field: when, with what, and when to check the leaf drop.

    ``leaf_drop_pct`` is the last one seen since the spray, ``leaf_drop_expected_on`` the day it
    should be full by warmth. ``second_pass`` says that it stayed below the bar a week or more
    after the spray. ``harvest_from`` counts the label's days where ``harvest_label_entered``.
    """

    spray: Spray
    treatment_name: str = ""
    days_since: float
    check_first_on: date
    check_second_on: date
    due_today: bool
    leaf_drop_pct: float | None = None
    leaf_drop_seen_utc: AwareDatetime | None = None
    leaf_drop_expected_on: date | None = None
    second_pass: bool = False
    second_pass_words: str = ""
    harvest_from: date | None = None
    harvest_label_entered: bool = False

    @property
    def checks(self) -> tuple[date, date]:
        """The days on which leaf drop is checked."""
        return self.check_first_on, self.check_second_on
