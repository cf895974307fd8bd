"""Who tells a field's forecast, by name, and what a region or a field says otherwise."""

from dataclasses import dataclass
from typing import Literal

from pydantic import BaseModel, ConfigDict

#: Nobody, where the farm names somebody.
NOBODY = "none"


@dataclass(frozen=True)
class Tellers:
    """The names of who leads, who stands in, and who looks past the leader's reach.

    ``source`` is "folder" where recorded answers of every provider lead.
    """

    source: str
    stand_in: str | None = None
    extend: str | None = None

    @property
    def names(self) -> tuple[str, ...]:
        """All of them, the leader first."""
        return tuple(one for one in (self.source, self.stand_in, self.extend) if one)


class TellersNamed(BaseModel):
    """Who tells the fields of a region, or one field, as far as that differs from the farm.

    Where recorded answers are replayed, these are whose answers of the same folder are looked at.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    source: Literal["nws", "open_meteo", "met_norway"] | None = None
    stand_in: Literal["nws", "open_meteo", "met_norway", "none"] | None = None
    extend: Literal["open_meteo", "none"] | None = None

    def over(self, below: Tellers) -> Tellers:
        """Who tells where these are named over others."""
        return Tellers(
            source=self.source or below.source,
            stand_in=_named(self.stand_in, below.stand_in),
            extend=_named(self.extend, below.extend),
        )


def _named(own: str | None, below: str | None) -> str | None:
    return below if own is None else None if own == NOBODY else own
