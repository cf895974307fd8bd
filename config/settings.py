"""The one TOML file as typed settings; each room brings its own class, this collects them."""

from datetime import time
from typing import Annotated, Any, Literal, Self

from pydantic import AfterValidator, AwareDatetime, BaseModel, ConfigDict, Field, model_validator

from agronomy.thresholds import MaturityRules, SprayGates
from config.climate_table import ClimateTable
from config.clock_time import ClockTime
from config.zones import BY_FIELD, known_zone
from dispatch.policy import DispatchPolicy, HarvestCapacity
from dispatch.routes.settings import RouteSettings
from farm.people import Grower, Person
from farm.rig import Rig
from farm.treatment import Treatment
from forecasts.settings import ForecastSettings
from forecasts.tellers import TellersNamed
from notify.settings import LinkSettings, MailSettings, SmsSettings
from web.settings import BoardSettings

ZoneRule = Annotated[str, AfterValidator(known_zone)]

#: Clocks are changed in these hours, so a send time in them comes twice or not at all.
CLOCK_CHANGES_END = time(4, 0)


class Farm(BaseModel):
    """Whose morning this is and when it happens, in local time."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str = Field(min_length=1, max_length=80)
    #: An IANA name, or "by field": every field's own zone, from where it lies.
    time_zone: ZoneRule = BY_FIELD
    #: GeoJSON or CSV file of the fields, inside the folder of the configuration.
    fields: str = Field(min_length=1)
    #: Database file inside the folder of the configuration, or an SQLAlchemy address.
    database: str = Field(default="warmspell.sqlite3", min_length=1)
    #: Variable, or file its owner alone can read, with the password of a database server's user.
    #: Without them the server's own ways hold: PGPASSWORD, or a password file.
    database_password_env: str | None = Field(default=None, min_length=1)
    database_password_file: str | None = Field(default=None, min_length=1)
    send_at: ClockTime = time(6, 0)
    #: What is known goes out by now, complete or not.
    deadline: ClockTime = time(6, 45)
    #: A digest missed until now is not sent any more.
    late_until: ClockTime = time(12, 0)
    units: Literal["us", "metric"] = "us"

    @model_validator(mode="after")
    def _times_in_order(self) -> Self:
        if self.send_at < CLOCK_CHANGES_END:
            raise ValueError(
                f'send_at is "{self.send_at:%H:%M}", wanted 04:00 or later; '
                "clocks are changed before that, and a digest would come twice or never"
            )
        for late, early in (("deadline", "send_at"), ("late_until", "deadline")):
            if getattr(self, late) <= getattr(self, early):
                raise ValueError(
                    f'{late} is "{getattr(self, late):%H:%M}", wanted after {early} '
                    f'"{getattr(self, early):%H:%M}"; make it later'
                )
        return self


class Watch(BaseModel):
    """How somebody else notices that a morning did not come."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    #: Variable or file with the address to call after a morning that was sent whole. Whoever is
    #: called there tells you when the call does not come.
    ping_url_env: str | None = None
    ping_url_file: str | None = None
    #: File that figures are written to for a monitoring agent; a full path, or in this folder.
    metrics_file: str | None = None
    #: Lines of the worker's log: to read, or one JSON object each.
    log: Literal["text", "json"] = "text"


class Replay(BaseModel):
    """A clock that stands still, for farms whose answers were recorded."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    at: AwareDatetime


class FieldOverrides(BaseModel):
    """Single thresholds that differ from the region's or the farm's, by key, and who tells."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    gates: dict[str, Any] = Field(default_factory=dict)
    maturity: dict[str, Any] = Field(default_factory=dict)
    forecast: TellersNamed = TellersNamed()


class Region(FieldOverrides):
    """Single thresholds and climate figures that differ from the farm's, and who tells."""

    climate: dict[str, Any] = Field(default_factory=dict)


class Settings(BaseModel):
    """Everything the TOML file says."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    farm: Farm
    replay: Replay | None = None
    forecast: ForecastSettings
    gates: SprayGates = SprayGates()
    maturity: MaturityRules = MaturityRules()
    dispatch: DispatchPolicy = DispatchPolicy()
    harvest: HarvestCapacity = HarvestCapacity()
    routes: RouteSettings = RouteSettings()
    climate: ClimateTable
    regions: dict[str, Region] = Field(default_factory=dict)
    field_rules: dict[str, FieldOverrides] = Field(default_factory=dict)
    growers: tuple[Grower, ...] = Field(min_length=1)
    people: tuple[Person, ...] = ()
    rigs: tuple[Rig, ...] = Field(min_length=1)
    treatments: tuple[Treatment, ...] = Field(min_length=1)
    mail: MailSettings | None = None
    sms: SmsSettings | None = None
    links: LinkSettings | None = None
    watch: Watch = Watch()
    board: BoardSettings = BoardSettings()
