"""Settings of the plan of rigs."""

from pydantic import BaseModel, ConfigDict, Field


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
    #: Hours after an hour that counts as rain in which ground rigs stay out [h].
    wet_ground_h: float = Field(default=12.0, ge=0, le=168, allow_inf_nan=False)
    #: Time between coming to a field and being ready to spray or fill [min].
    setup_min: float = Field(default=10.0, ge=0, le=120, allow_inf_nan=False)
    #: What a mile of driving costs, in acres sprayed at full effect [acres/mile].
    mile_cost_ac: float = Field(default=0.05, ge=0, le=10, allow_inf_nan=False)
    #: Plan hours that are only part of a window too, marked short, where no rig can come earlier.
    short_windows: bool = True
    #: Time the plan is searched for [s].
    search_s: float = Field(default=10.0, gt=0, le=3600, allow_inf_nan=False)
    #: The same seed searches in the same order.
    seed: int = Field(default=1, ge=0, le=2**31)
