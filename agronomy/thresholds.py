"""Settable thresholds of the gates. Every default says where it comes from.

Letters and numbers such as S30 in this project's comments are spelled out in docs/sources.md.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, model_validator


class SprayGates(BaseModel):
    """When a sprayer may work, how long it must stay dry, and how far off a freeze must be."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    #: Least wind [mph]; calmer air may be an inversion. Georgia extension 2021 (S30).
    wind_min_mph: float = Field(default=3.0, ge=0, le=20, allow_inf_nan=False)
    #: Most sustained wind [mph]. Georgia extension 2021 (S30); a stricter label wins.
    wind_max_mph: float = Field(default=10.0, gt=0, le=25, allow_inf_nan=False)
    #: Most gust [mph]. Common practice, no source.
    gust_max_mph: float = Field(default=15.0, gt=0, le=40, allow_inf_nan=False)
    #: Hours after sunrise before the night's inversion is taken as gone [h]. NDSU 2021 (S34).
    after_sunrise_h: float = Field(default=1.5, ge=0, le=6, allow_inf_nan=False)
    #: Hours before sunset when an evening inversion may begin [h]. Dicamba-label style guard
    #: printed by Iowa State 2020 (S33); NDSU detects inversions 3 to 4 h before sunset (S34).
    before_sunset_h: float = Field(default=2.0, ge=0, le=6, allow_inf_nan=False)
    #: Driest air, dry bulb minus wet bulb [F]. 10 C upper caution of Delta T (S61).
    delta_t_max_f: float = Field(default=18.0, gt=0, le=40, allow_inf_nan=False)
    #: Dampest air, dry bulb minus wet bulb [F]. 2 C lower caution of Delta T (S61).
    delta_t_min_f: float = Field(default=3.6, ge=0, le=20, allow_inf_nan=False)
    #: Rain in an hour that counts as rain [inch]. Smallest measurable amount; common practice.
    rain_threshold_in: float = Field(default=0.01, gt=0, le=1, allow_inf_nan=False)
    #: Chance of rain at or above which an hour does not count as dry [%]. Judgement: the gate the
    #: choice of the order was simulated with.
    rain_chance_max_pct: float = Field(default=40.0, gt=0, le=100, allow_inf_nan=False)
    #: Least temperature to begin spraying at [F]. Off (0) by default: cold already costs effect.
    start_temp_min_f: float = Field(default=0.0, ge=0, le=80, allow_inf_nan=False)
    #: Temperature that counts as a freeze [F]. Definition.
    freeze_f: float = Field(default=32.0, ge=20, le=40, allow_inf_nan=False)
    #: Temperature that ends the leaf's work [F]. US Weather Service hard freeze (S27).
    killing_f: float = Field(default=28.0, ge=15, le=36, allow_inf_nan=False)
    #: Freeze-free days a harvest aid needs [days]. Common practice, no printed source.
    freeze_free_days: int = Field(default=7, ge=1, le=8)
    #: Fewest nights that must be seen before a partly seen week is ranked at all. Judgement.
    nights_seen_min: int = Field(default=5, ge=1, le=8)

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        for low, high in (
            ("wind_min_mph", "wind_max_mph"),
            ("delta_t_min_f", "delta_t_max_f"),
            ("killing_f", "freeze_f"),
            ("nights_seen_min", "freeze_free_days"),
        ):
            if getattr(self, low) > getattr(self, high):
                raise ValueError(
                    f"{low} is {getattr(self, low):g}, above {high} {getattr(self, high):g}; "
                    f"make {low} the smaller one"
                )
        return self


Crop = Literal["full_season", "compact", "gap"]

#: Percent open by crop [%]. Full season as the defaults below. Compact, early set crops from 50
#: (S15, S16). With a fruiting gap waiting to 78 raised yield (S14); its floor keeps ten points
#: below, judgement.
CROPS: Mapping[str, Mapping[str, float]] = MappingProxyType(
    {
        "full_season": {"percent_open_min": 60.0, "percent_open_floor": 50.0},
        "compact": {"percent_open_min": 50.0, "percent_open_floor": 50.0},
        "gap": {"percent_open_min": 78.0, "percent_open_floor": 68.0},
    }
)


def with_crop(values: Mapping[str, Any]) -> dict[str, Any]:
    """Values of a table of maturity rules with those of the crop it names; its own win.

    A floor that was not named is never above a least percent open that was.
    """
    crop, least = values.get("crop"), values.get("percent_open_min")
    preset = dict(CROPS.get(crop, {})) if isinstance(crop, str) else {}
    if preset and isinstance(least, int | float):
        preset["percent_open_floor"] = min(preset["percent_open_floor"], least)
    return {**preset, **values}


class MaturityRules(BaseModel):
    """When a field counts as mature, nearly mature, or not yet.

    Sources disagree (docs/sources.md): nodes above cracked boll from 3 to 7, percent open from
    42 to 81. The defaults are the usual short-season ones and are meant to be set by region.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    #: What stands there: "full_season", "compact" (early set) or "gap" (a fruiting gap). It sets
    #: percent_open_min and percent_open_floor to 60 and 50, 50 and 50 (S15, S16), or 78 (S14) and
    #: 68 where these are not named beside it.
    crop: Crop = "full_season"
    #: Most nodes above cracked boll on a mature field. Common default (S2, S15, S28).
    nacb_max: float = Field(default=4.0, ge=1, le=8, allow_inf_nan=False)
    #: Least percent open on a mature field [%]. Common default (S15, S16, S59).
    percent_open_min: float = Field(default=60.0, ge=20, le=95, allow_inf_nan=False)
    #: Percent open that does not yet contradict a mature node count [%]. Compact early-set crop
    #: 50 (S15, S16); northern High Plains 50 to 60 (S56).
    percent_open_floor: float = Field(default=50.0, ge=10, le=95, allow_inf_nan=False)
    #: Percent open that is enough when the cut bolls are mature [%]. Common practice in
    #: short-season country, no source.
    percent_open_cut_floor: float = Field(default=40.0, ge=10, le=95, allow_inf_nan=False)
    #: Nodes above cracked boll that do not yet contradict a mature percent open. Judgement.
    nacb_ceiling: float = Field(default=5.0, ge=1, le=10, allow_inf_nan=False)
    #: Most nodes above cracked boll on a nearly mature field. Simulation of the order (cap 6).
    nacb_nearly_max: float = Field(default=6.0, ge=1, le=12, allow_inf_nan=False)
    #: Least percent open on a nearly mature field [%]. Common practice, no source.
    percent_open_nearly_min: float = Field(default=40.0, ge=5, le=95, allow_inf_nan=False)
    #: Age at which a visit no longer speaks for the field [days]. Common practice, no source.
    visit_max_age_days: float = Field(default=7.0, gt=0, le=30, allow_inf_nan=False)
    #: Heat that opens one more node [F days, base 60]. An assumption from memory, no source.
    node_heat_f_days: float = Field(default=50.0, gt=0, le=200, allow_inf_nan=False)

    @model_validator(mode="before")
    @classmethod
    def _of_crop(cls, values: Any) -> Any:
        return with_crop(values) if isinstance(values, dict) else values

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        for low, high in (
            ("percent_open_cut_floor", "percent_open_floor"),
            ("percent_open_floor", "percent_open_min"),
            ("percent_open_nearly_min", "percent_open_min"),
            ("nacb_max", "nacb_ceiling"),
            ("nacb_max", "nacb_nearly_max"),
        ):
            if getattr(self, low) > getattr(self, high):
                raise ValueError(
                    f"{low} is {getattr(self, low):g}, above {high} {getattr(self, high):g}; "
                    f"make {low} the smaller one"
                )
        return self
