"""Everything an operator's files say, checked and ready for use."""

from dataclasses import dataclass
from pathlib import Path

from config.settings import Settings
from dispatch.field_rules import FieldRules
from farm.field import Field
from forecasts.tellers import Tellers
from notify.settings import Secrets


@dataclass(frozen=True)
class FarmConfig:
    """One farm's configuration.

    ``path`` is the TOML file and ``folder`` the folder all its relative names start from.
    ``rules`` holds the rules in force and ``tellers`` who tells the forecast, by field id.
    ``time_zone`` is the farm's own zone, the
    most common one of its fields where the zone is taken from the place. ``secrets`` are those
    that could be read here. ``warnings`` are lines for people.
    """

    path: Path
    folder: Path
    settings: Settings
    fields: tuple[Field, ...]
    rules: dict[str, FieldRules]
    tellers: dict[str, Tellers]
    secrets: Secrets
    time_zone: str
    warnings: tuple[str, ...] = ()

    @property
    def services(self) -> tuple[str, ...]:
        """The weather services that are asked over the network, by name, each once."""
        if self.settings.forecast.source == "folder":
            return ()
        names = [name for told in self.tellers.values() for name in told.names]
        return tuple(dict.fromkeys(names))
