"""Settings of the order: what a spray is worth, how far ahead to look, how sure a forecast is."""

from pydantic import BaseModel, ConfigDict, Field, model_validator

from agronomy.low_errors import LOW_BIAS_F, LOW_ERROR_DOF, LOW_ERROR_SD_F, NIGHT_CORRELATION


class DispatchPolicy(BaseModel):
    """Constants of the number behind the order; judgement unless a source is named."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    #: Hours ahead in which a window must open for a field to be called today [h].
    decision_span_h: int = Field(default=36, ge=12, le=72)
    #: What a good spray is worth, as a share of the crop's value.
    spray_worth_frac: float = Field(default=0.25, gt=0, le=1, allow_inf_nan=False)
    #: Share of the effect that washing rain takes.
    wash_loss_frac: float = Field(default=0.6, ge=0, le=1, allow_inf_nan=False)
    #: Points waiting must cost before a nearly mature field is walked.
    look_cost_points: float = Field(default=5.0, ge=0, le=50, allow_inf_nan=False)
    #: Costs closer than this are a tie [points].
    tie_points: float = Field(default=1.0, ge=0, le=10, allow_inf_nan=False)
    #: Fields mature within this many days stand in the line [days].
    queue_reach_days: int = Field(default=10, ge=0, le=30)
    #: Hours of a day in which rigs could spray if the weather were good [h].
    spray_day_h: float = Field(default=8.0, gt=0, le=16, allow_inf_nan=False)
    #: Share of those hours that turn out usable, until local records exist.
    usable_share_frac: float = Field(default=0.5, gt=0, le=1, allow_inf_nan=False)
    #: Time to move to a field and set up [h].
    setup_h: float = Field(default=0.5, ge=0, le=8, allow_inf_nan=False)
    #: Standard deviation of the error of a forecast low, by days ahead from 0 [F]; the last number
    #: stands for all days after. Fitted on forecasts, see docs/freeze_odds.md.
    low_error_sd_f: tuple[float, ...] = LOW_ERROR_SD_F
    #: Forecast low minus what comes, by days ahead from 0 [F]; same fit.
    low_bias_f: tuple[float, ...] = LOW_BIAS_F
    #: Degrees of freedom of that error, a Student's t, by days ahead from 0; same fit.
    low_error_dof: tuple[float, ...] = LOW_ERROR_DOF
    #: How far two nights of one issue go together; same forecasts.
    night_correlation: float = Field(default=NIGHT_CORRELATION, ge=0, lt=1, allow_inf_nan=False)
    #: Whether the farm's own errors of lows, once kept by verify --keep, blend into those tables.
    own_low_errors: bool = True
    #: Days past the forecast that the order looks at, on climate alone [days].
    climate_reach_days: int = Field(default=28, ge=7, le=60)
    #: Forecast age from which it is marked [h].
    age_badge_h: float = Field(default=6.0, gt=0, le=72, allow_inf_nan=False)
    #: Forecast age past which no field is called for spraying [h].
    age_no_spray_h: float = Field(default=12.0, gt=0, le=72, allow_inf_nan=False)
    #: Forecast age past which every call is unknown [h].
    age_unknown_h: float = Field(default=24.0, gt=0, le=96, allow_inf_nan=False)
    #: Forecast age past which its numbers are not shown [h].
    age_no_numbers_h: float = Field(default=72.0, gt=0, le=240, allow_inf_nan=False)

    @model_validator(mode="after")
    def _in_order(self) -> "DispatchPolicy":
        ages = (self.age_badge_h, self.age_no_spray_h, self.age_unknown_h, self.age_no_numbers_h)
        if list(ages) != sorted(ages):
            raise ValueError(
                "the four forecast ages must rise (age_badge_h, age_no_spray_h, age_unknown_h, "
                f"age_no_numbers_h), got {', '.join(f'{age:g}' for age in ages)}; reorder them"
            )
        return self

    @model_validator(mode="after")
    def _errors_make_sense(self) -> "DispatchPolicy":
        for name, above, most in (
            ("low_error_sd_f", 0.0, 20.0),
            ("low_bias_f", -10.0, 10.0),
            ("low_error_dof", 2.0, 1000.0),
        ):
            given = getattr(self, name)
            if not given or not all(above < one <= most for one in given):
                raise ValueError(
                    f"{name} wants one number for each day ahead, above {above:g} and at most "
                    f"{most:g}, got {', '.join(f'{one:g}' for one in given) or 'none'}; correct it"
                )
        return self


class HarvestCapacity(BaseModel):
    """How fast the crop is picked, so that no more is sprayed than can be picked in time."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    #: Acres picked on a day, all machines together [acres]; 0 holds every field. Not entered,
    #: nothing is held: no source can tell it.
    acres_per_day: float | None = Field(default=None, ge=0, le=100_000, allow_inf_nan=False)
    #: Days within which what is sprayed must be picked [days]. The longer end of 10 to 14 (S35).
    within_days: float = Field(default=14.0, ge=1, le=60, allow_inf_nan=False)


class Climate(BaseModel):
    """What the season usually brings here: first freezes and normal temperatures.

    Entered by the user for the region; past the forecast it is all there is. Dates are given as
    day of year. Normals are for the 15th of August to December, in deg F.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    first_freeze_day: float = Field(ge=220, le=366, allow_inf_nan=False)
    first_freeze_sd_days: float = Field(gt=0, le=40, allow_inf_nan=False)
    killing_freeze_day: float = Field(ge=220, le=366, allow_inf_nan=False)
    killing_freeze_sd_days: float = Field(gt=0, le=40, allow_inf_nan=False)
    #: Share of years with a first freeze by the end of the season; dates are of those years (S74).
    first_freeze_share_frac: float = Field(default=1.0, gt=0, le=1, allow_inf_nan=False)
    #: The same of a killing freeze (S74).
    killing_freeze_share_frac: float = Field(default=1.0, gt=0, le=1, allow_inf_nan=False)
    normal_high_f: tuple[float, float, float, float, float]
    normal_low_f: tuple[float, float, float, float, float]
    #: Spread of daily mean temperature around the normal [F]. Clemson, SC, autumns (9 F).
    temp_sd_f: float = Field(default=8.0, gt=0, le=20, allow_inf_nan=False)
    #: Share of days with measurable rain [%].
    wet_day_pct: float = Field(default=20.0, ge=0, le=100, allow_inf_nan=False)

    @model_validator(mode="after")
    def _highs_above_lows(self) -> "Climate":
        for month, high, low in zip(
            ("August", "September", "October", "November", "December"),
            self.normal_high_f,
            self.normal_low_f,
            strict=True,
        ):
            if not -40 <= low < high <= 130:
                raise ValueError(
                    f"{month} normals: got high {high:g} and low {low:g}, wanted the high above "
                    "the low, both in deg F between -40 and 130; check the order and the unit"
                )
        return self
