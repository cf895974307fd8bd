"""Settings of the forecasts room."""

from typing import Literal, Self

from pydantic import BaseModel, ConfigDict, Field, model_validator

from forecasts.tellers import Tellers

#: Share of a morning's time that is kept for sources that stand in, where there are any.
#: Judgement.
STAND_IN_TIME_FRAC = 0.2

_FREE_FOR_SOME = (
    "which is free for non-commercial use only; name your key with api_key_env or api_key_file, "
    "or affirm non_commercial = true"
)


class ForecastSettings(BaseModel):
    """Where forecasts come from and how politely they are asked for."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    #: Who leads. "nws" asks the US National Weather Service; "open_meteo" and "met_norway" ask
    #: these; "folder" replays recorded answers.
    source: Literal["nws", "open_meteo", "met_norway", "folder"] = "nws"
    #: Who stands in, whole cell by whole cell, where the one that leads has nothing to say.
    stand_in: Literal["nws", "open_meteo", "met_norway"] | None = None
    #: Age of the leader's last good answer past which the stand-in is asked [h]; judgement: the
    #: age past which no field is called for spraying.
    stand_in_after_h: float = Field(default=12.0, ge=0, le=72, allow_inf_nan=False)
    #: Who is looked at past the leader's reach, beside the calls and with no part in any.
    extend: Literal["open_meteo"] | None = None
    #: Whether odds are counted from the members of an ensemble too, beside those that count.
    ensemble: bool = False
    #: Mail address or web page sent in the User-Agent; services refuse callers without one.
    contact: str | None = Field(default=None, min_length=3, max_length=120)
    #: Folder of recorded answers, relative to the config file.
    path: str | None = None
    #: Where the US service answers.
    address: str = "https://api.weather.gov"
    #: Where Open-Meteo answers: a server of your own, or by itself the one for a key or without.
    open_meteo_address: str | None = None
    #: The operator's word that this use is non-commercial, which Open-Meteo is free for only.
    non_commercial: bool = False
    #: Environment variable, or file readable by its owner alone, that holds Open-Meteo's key.
    api_key_env: str | None = Field(default=None, min_length=1)
    api_key_file: str | None = Field(default=None, min_length=1)
    met_norway_address: str = "https://api.met.no"
    #: Most requests a second.
    requests_per_second: float = Field(default=2.0, gt=0, le=5, allow_inf_nan=False)
    connect_timeout_s: float = Field(default=5.0, gt=0, le=60, allow_inf_nan=False)
    read_timeout_s: float = Field(default=10.0, gt=0, le=120, allow_inf_nan=False)
    #: Longest one answer may take, all of it [s].
    answer_deadline_s: float = Field(default=20.0, gt=0, le=300, allow_inf_nan=False)
    #: Longest the whole morning may ask [s]; what is not known by then uses the last good answer.
    total_deadline_s: float = Field(default=900.0, gt=0, le=7200, allow_inf_nan=False)
    #: Pause before cells that had no answer are asked once more [s], as often as it fits into
    #: ``total_deadline_s``, of which four fifths are the leader's where somebody stands in. As both
    #: stand here it never does: a morning goes out in its first half hour and is looked at again 3
    #: and 6 hours later. ``total_deadline_s`` = 1500 lets it act once. Outages of the US service
    #: have lasted 10 to 15 minutes (weather-gov/api issue 19).
    ask_again_s: float = Field(default=900.0, gt=0, le=7200, allow_inf_nan=False)
    tries: int = Field(default=4, ge=1, le=10)
    #: Longest wait a server may ask for [s].
    retry_after_max_s: float = Field(default=60.0, ge=0, le=600, allow_inf_nan=False)
    #: Days a field's cell is taken as known before it is asked for again [days].
    cell_max_age_days: float = Field(default=14.0, gt=0, le=60, allow_inf_nan=False)
    #: Days issues are kept, for verification and to replay mornings [days]; a season and the one
    #: before it. The newest of a cell stays whatever its age.
    keep_days: int = Field(default=400, ge=14, le=3660)

    @property
    def tellers(self) -> Tellers:
        """Who tells where no region and no field says otherwise."""
        return Tellers(self.source, self.stand_in, self.extend)

    @property
    def asks(self) -> tuple[str, ...]:
        """Who is asked over the network, by name: leads, stands in, looks further."""
        named = () if self.source == "folder" else (self.source, self.stand_in, self.extend)
        return tuple(one for one in named if one)

    def lead_time_s(self, is_stood_in: bool) -> float:
        """How long those who lead may be asked [s], where somebody stands in for any or nobody."""
        return self.total_deadline_s * (1 - STAND_IN_TIME_FRAC if is_stood_in else 1)

    @model_validator(mode="after")
    def _complete(self) -> Self:
        for key in ("source", "stand_in", "extend"):
            one = getattr(self, key)
            if one not in self.asks:
                continue
            if one in ("nws", "met_norway") and not self.contact:
                raise ValueError(
                    f'contact is missing and {key} is "{one}"; '
                    "enter a mail address the weather service can write to"
                )
            if one == "open_meteo" and not self._open_meteo_allowed:
                raise ValueError(f'{key} is "open_meteo", {_FREE_FOR_SOME}')
        for key, other in (("stand_in", self.stand_in), ("extend", self.extend)):
            if self.source == other:
                raise ValueError(
                    f'{key} is "{other}", wanted another than source; name another or delete it'
                )
        if self.source != "folder" and self.ensemble and not self._open_meteo_allowed:
            raise ValueError(f"ensemble is true and asks Open-Meteo, {_FREE_FOR_SOME}")
        if self.source == "folder" and not self.path:
            raise ValueError(
                'path is missing and source is "folder"; name the folder of recorded answers'
            )
        return self

    @property
    def _open_meteo_allowed(self) -> bool:
        return bool(
            self.non_commercial or self.api_key_env or self.api_key_file or self.open_meteo_address
        )
