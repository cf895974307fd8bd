"""Settings of the plan of rigs."""

import re

from pydantic import BaseModel, ConfigDict, Field, field_validator


class RouteSettings(BaseModel):
    """How rigs are planned; judgement throughout, all of it can be set."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    #: Days planned, today among them [days].
    days: int = Field(default=4, ge=1, le=7)
    #: Road miles for a mile as the crow flies; aircraft fly straight.
    road_factor: float = Field(default=1.3, ge=1, le=5, allow_inf_nan=False)
    #: CSV file with road miles of your own, inside the folder of the configuration: columns from,
    #: to, miles, with ids of fields, and yard:ID for the yard of a rig.
    miles: str | None = Field(default=None, min_length=1)
    #: Where a road table answers, such as a server of your own with OSRM's table service; places of
    #: fields and yards are sent to it.
    table_address: str | None = Field(default=None, min_length=1)
    #: Most places in one question to the road table. OSRM's own limit, from memory.
    table_places: int = Field(default=100, ge=2, le=300)
    #: Longest the road table may take for all its answers [s].
    table_wait_s: float = Field(default=20.0, gt=0, le=300, allow_inf_nan=False)
    #: Hours after an hour that counts as rain in which ground rigs stay out [h].
    wet_ground_h: float = Field(default=12.0, ge=0, le=168, allow_inf_nan=False)
    #: Time between coming to a field and being ready to spray or fill [min].
    setup_min: float = Field(default=10.0, ge=0, le=120, allow_inf_nan=False)
    #: What a mile of driving costs, in acres sprayed at full effect [acres/mile].
    mile_cost_ac: float = Field(default=0.05, ge=0, le=10, allow_inf_nan=False)
    #: Plan hours that are only part of a window too, marked short, where no rig can come earlier.
    short_windows: bool = True
    #: What it counts for that a stop stays with the rig and the day it had in the plan before
    #: [acres at full effect a stop]. Every move is a call to a driver and a grower: a plan that
    #: moves ten fields must bring 50 acres more.
    stay_ac: float = Field(default=5.0, ge=0, le=1_000, allow_inf_nan=False)
    #: How far the start of a locked stop may move either way [min].
    lock_min: float = Field(default=30.0, ge=0, le=720, allow_inf_nan=False)
    #: Whether a morning plans the rigs and tells those who drive or send them. Left out: where any
    #: rig has a yard or drivers entered, for else a plan starts in the middle of the fields and
    #: has nobody to tell.
    in_digest: bool | None = None
    #: Time the plan is searched for [s].
    search_s: float = Field(default=10.0, gt=0, le=3600, allow_inf_nan=False)
    #: The same seed searches in the same order.
    seed: int = Field(default=1, ge=0, le=2**31)

    @field_validator("table_address")
    @classmethod
    def _of_the_web(cls, given: str | None) -> str | None:
        if given is not None and not re.fullmatch(r"https?://[^\s/?#]+(/[^\s?#]*)?", given):
            raise ValueError(
                "got no address of the web, wanted one such as https://roads.example.net without "
                "a query; correct it"
            )
        return given
