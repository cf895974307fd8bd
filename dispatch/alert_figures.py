"""Freeze alerts of the weather service, as they stand. They change no call."""

from pydantic import AwareDatetime

from dispatch.field_figures import Figure


class FreezeAlertFigures(Figure):
    """One alert; times are None and words "" where it does not tell them.

    ``event`` is its public name, such as "Freeze Watch". That a field has none is no sign of
    safety: offices stop issuing them after the first freezes of a season.
    """

    event: str
    onset_utc: AwareDatetime | None = None
    ends_utc: AwareDatetime | None = None
    sender: str = ""
    headline: str = ""
