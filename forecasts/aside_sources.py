"""Who tells what is shown beside the calls and is no forecast of a field: alerts, an ensemble."""

from typing import Protocol

from forecasts import open_meteo_members
from forecasts.alerts import Gets
from forecasts.folder import FolderTransport
from forecasts.open_meteo_members import EnsembleSource, OpenMeteoMembers, RecordedMembers
from forecasts.recorded_alerts import RecordedAlerts
from forecasts.sources import Sources


class AlertSource(Gets, Protocol):
    """What tells the alerts of a point."""

    def begin(self, total_deadline_s: float) -> None:
        """Start a morning that may take this long [s]."""


def alert_source(sources: Sources) -> AlertSource | None:
    """Who tells alerts; None where answers are replayed and no alerts were recorded.

    Each question gets a single try, since nothing waits for alerts.
    """
    if sources.settings.source == "folder":
        return RecordedAlerts(sources.folder()) or None
    return sources.us_client(tries=1)


def ensemble_source(sources: Sources) -> EnsembleSource | None:
    """Who tells members; None where the settings do not ask for them.

    Raises
    ------
    ForecastError
        The folder of recorded answers does not exist, or the key is not there.
    """
    if not sources.settings.ensemble:
        return None
    if sources.settings.source == "folder":
        return RecordedMembers(FolderTransport(sources.folder()))
    free, with_key = open_meteo_members.FREE_ADDRESS, open_meteo_members.KEY_ADDRESS
    return OpenMeteoMembers(sources.open_meteo_client(free, with_key), sources.api_key)
