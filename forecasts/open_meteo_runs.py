"""When Open-Meteo's model runs came out: its answers themselves tell no age."""

from datetime import UTC, datetime

import msgspec

from forecasts.errors import ForecastError

#: The model asked for: the US weather service's global model, sixteen days, with its short-range
#: model of the United States laid over the first two.
MODEL = "gfs_seamless"

#: The runs behind it, as Open-Meteo names them (open-meteo/open-meteo pull request 963). The
#: chance of rain comes from an ensemble whose run is not told on the same host.
RUNS = ("ncep_hrrr_conus", "ncep_gfs013", "ncep_gfs025")

#: The ensemble asked for, its run, and the days it tells: that of the US weather service, 31
#: members. Its run is told where the ensemble is.
ENSEMBLE_MODEL, ENSEMBLE_RUN, ENSEMBLE_DAYS = "gfs025", "ncep_gefs025", 10


class _Run(msgspec.Struct):
    last_run_availability_time: int


def run_path(run: str) -> str:
    """Where a run's times are told."""
    return f"/data/{run}/static/meta.json"


def read_run(body: bytes) -> datetime:
    """When a run could first be had, which is when its forecast was issued [UTC].

    Raises
    ------
    ForecastError
        The answer does not tell it.
    """
    try:
        told = msgspec.json.decode(body, type=_Run)
        return datetime.fromtimestamp(told.last_run_availability_time, UTC)
    except (msgspec.MsgspecError, RecursionError, ValueError, OverflowError, OSError) as error:
        raise ForecastError("Open-Meteo does not tell when its model ran", True) from error
