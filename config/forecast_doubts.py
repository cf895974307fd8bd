"""Settings of [forecast] that do nothing as they stand."""

from collections.abc import Iterable, Iterator

from config.key_path import Path, value_at
from config.settings import Settings
from forecasts.tellers import Tellers


def never_asked_again(
    raw: dict[str, object], settings: Settings, tellers: Iterable[Tellers]
) -> Iterator[tuple[Path, str]]:
    """A pause before asking again that no morning is long enough for."""
    told = settings.forecast
    lead_s = told.lead_time_s(any(one.stand_in for one in tellers))
    if value_at(raw, ("forecast", "ask_again_s")) is None or told.ask_again_s < lead_s:
        return
    yield (
        ("forecast", "ask_again_s"),
        f"got {told.ask_again_s:g} seconds, but who leads may be asked for {lead_s:g} in all, so "
        "nobody is asked again; raise total_deadline_s or shorten the pause",
    )
