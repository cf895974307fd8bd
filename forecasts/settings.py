"""Settings of the forecasts room."""

from typing import Literal, Self

from pydantic import BaseModel, ConfigDict, Field, model_validator


class ForecastSettings(BaseModel):
    """Where forecasts come from and how politely they are asked for."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    #: "nws" asks the US National Weather Service; "folder" replays recorded answers.
    source: Literal["nws", "folder"] = "nws"
    #: Mail address or web page sent in the User-Agent; the service refuses callers without one.
    contact: str | None = Field(default=None, min_length=3, max_length=120)
    #: Folder of recorded answers, relative to the config file.
    path: str | None = None
    address: str = "https://api.weather.gov"
    #: Most requests a second.
    requests_per_second: float = Field(default=2.0, gt=0, le=5, allow_inf_nan=False)
    connect_timeout_s: float = Field(default=5.0, gt=0, le=60, allow_inf_nan=False)
    read_timeout_s: float = Field(default=10.0, gt=0, le=120, allow_inf_nan=False)
    #: Longest one answer may take, all of it [s].
    answer_deadline_s: float = Field(default=20.0, gt=0, le=300, allow_inf_nan=False)
    #: Longest the whole morning may ask [s]; what is not known by then uses the last good answer.
    total_deadline_s: float = Field(default=900.0, gt=0, le=7200, allow_inf_nan=False)
    #: Pause before cells that had no answer are asked once more [s], as often as the time of
    #: ``total_deadline_s`` allows. Outages of the US service have lasted 10 to 15 minutes
    #: (weather-gov/api issue 19).
    ask_again_s: float = Field(default=900.0, gt=0, le=7200, allow_inf_nan=False)
    tries: int = Field(default=4, ge=1, le=10)
    #: Longest wait a server may ask for [s].
    retry_after_max_s: float = Field(default=60.0, ge=0, le=600, allow_inf_nan=False)
    #: Days a field's cell is taken as known before it is asked for again [days].
    cell_max_age_days: float = Field(default=14.0, gt=0, le=60, allow_inf_nan=False)
    #: Days issues are kept, for verification and to replay mornings [days]; a season and the one
    #: before it. The newest of a cell stays whatever its age.
    keep_days: int = Field(default=400, ge=14, le=3660)

    @model_validator(mode="after")
    def _complete(self) -> Self:
        if self.source == "nws" and not self.contact:
            raise ValueError(
                'contact is missing and source is "nws"; '
                "enter a mail address the weather service can write to"
            )
        if self.source == "folder" and not self.path:
            raise ValueError(
                'path is missing and source is "folder"; name the folder of recorded answers'
            )
        return self
