"""The climate of a place as it stands in station tables, dates written as month and day."""

from typing import Self

from pydantic import BaseModel, ConfigDict, Field, ValidationError, model_validator

from config.clock_time import AutumnDay, day_of_year
from dispatch.policy import Climate

_PLAIN = Climate.model_fields


class ClimateTable(BaseModel):
    """What `dispatch.policy.Climate` needs, in the form people find it in.

    Normals are five numbers in deg F, for the 15th of August to December.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    #: CSV of a station's daily lows that fills in what is not given of the first and the killing
    #: freeze, inside the folder of the configuration.
    daily_lows: str | None = None
    #: Mean date of the first 32 F, as month and day.
    first_freeze_mean: AutumnDay
    first_freeze_sd_days: float = Field(gt=0, le=40, allow_inf_nan=False)
    #: Mean date of the first killing freeze, 28 F, as month and day.
    killing_freeze_mean: AutumnDay
    killing_freeze_sd_days: float = Field(gt=0, le=40, allow_inf_nan=False)
    #: Shares of years with such a freeze by the end of the season.
    first_freeze_share_frac: float = Field(
        default=_PLAIN["first_freeze_share_frac"].default, gt=0, le=1, allow_inf_nan=False
    )
    killing_freeze_share_frac: float = Field(
        default=_PLAIN["killing_freeze_share_frac"].default, gt=0, le=1, allow_inf_nan=False
    )
    normal_high_f: tuple[float, float, float, float, float]
    normal_low_f: tuple[float, float, float, float, float]
    temp_sd_f: float = Field(default=_PLAIN["temp_sd_f"].default, gt=0, le=20, allow_inf_nan=False)
    wet_day_pct: float = Field(
        default=_PLAIN["wet_day_pct"].default, ge=0, le=100, allow_inf_nan=False
    )

    def climate(self) -> Climate:
        """The same with dates as days of the year."""
        return Climate(
            first_freeze_day=day_of_year(self.first_freeze_mean),
            killing_freeze_day=day_of_year(self.killing_freeze_mean),
            **self.model_dump(exclude={"first_freeze_mean", "killing_freeze_mean", "daily_lows"}),
        )

    @model_validator(mode="after")
    def _makes_a_climate(self) -> Self:
        first, killing = self.first_freeze_mean, self.killing_freeze_mean
        if day_of_year(killing) < day_of_year(first):
            raise ValueError(
                f'killing_freeze_mean is "{killing}", before first_freeze_mean "{first}"; '
                "28 F comes after 32 F: swap them or correct one"
            )
        if self.killing_freeze_share_frac > self.first_freeze_share_frac:
            raise ValueError(
                f"killing_freeze_share_frac is {self.killing_freeze_share_frac:g}, above "
                f"first_freeze_share_frac {self.first_freeze_share_frac:g}; every year with 28 F "
                "has 32 F too: correct one"
            )
        try:
            self.climate()
        except ValidationError as error:
            words = error.errors()[0]["msg"].removeprefix("Value error, ")
            raise ValueError(f"normal_high_f and normal_low_f, {words}") from None
        return self
