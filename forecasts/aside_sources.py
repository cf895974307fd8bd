"""Who tells what is shown beside the calls, by settings: alerts, a further look, an ensemble."""

from pathlib import Path
from typing import Protocol

from forecasts import open_meteo_members
from forecasts.alerts import Gets
from forecasts.client import WeatherClient
from forecasts.folder import FolderSource, FolderTransport
from forecasts.open_meteo_members import EnsembleSource, OpenMeteoMembers, RecordedMembers
from forecasts.recorded_alerts import RecordedAlerts
from forecasts.settings import ForecastSettings
from forecasts.sources import ForecastSource, folder_of, make_source, open_meteo_client, our_version


class AlertSource(Gets, Protocol):
    """What tells the alerts of a point."""

    def begin(self, total_deadline_s: float) -> None:
        """Start a morning that may take this long [s]."""


def make_alert_source(settings: ForecastSettings, config_dir: Path) -> AlertSource | None:
    """Who tells alerts; None where the US service is not asked, or none were recorded.

    Each question gets a single try, since nothing waits for alerts.
    """
    if settings.source == "folder":
        return RecordedAlerts(folder_of(settings, config_dir)) or None
    if "nws" not in (settings.source, settings.stand_in):
        return None
    return WeatherClient(settings.model_copy(update={"tries": 1}), our_version())


def make_further_source(
    settings: ForecastSettings, config_dir: Path, api_key: str | None = None
) -> ForecastSource | None:
    """Who looks past the leader's reach; None where the settings name nobody.

    Raises
    ------
    ForecastError
        As `forecasts.sources.make_source`.
    """
    if settings.extend is None:
        return None
    if settings.source == "folder":
        return FolderSource(folder_of(settings, config_dir), (settings.extend,))
    leads = settings.model_copy(update={"source": settings.extend})
    return make_source(leads, config_dir, api_key)


def make_ensemble_source(
    settings: ForecastSettings, config_dir: Path, api_key: str | None = None
) -> EnsembleSource | None:
    """Who tells members; None where the settings do not ask for them.

    Raises
    ------
    ForecastError
        As `forecasts.sources.make_source`.
    """
    if not settings.ensemble:
        return None
    if settings.source == "folder":
        return RecordedMembers(FolderTransport(folder_of(settings, config_dir)))
    free, with_key = open_meteo_members.FREE_ADDRESS, open_meteo_members.KEY_ADDRESS
    return OpenMeteoMembers(open_meteo_client(settings, api_key, free, with_key), api_key)
