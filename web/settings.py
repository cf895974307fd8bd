"""Settings of the board."""

from pydantic import BaseModel, ConfigDict, Field


class BoardSettings(BaseModel):
    """Where the board answers, and what it may show of other people's maps."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    #: Address the board listens on. Anything but this machine alone needs accounts, and a server
    #: before it that speaks TLS.
    host: str = Field(default="127.0.0.1", min_length=1, max_length=100)
    port: int = Field(default=8737, ge=1, le=65535)
    #: Whether readers log in with accounts made by `warmspell board add`; without them the one
    #: person at this machine gets a link that works once.
    accounts: bool = False
    #: Names of the board that readers type, such as "board.example.com", besides that of [links]
    #: base_url. It answers to no other, so that no page of another site can reach it by a name of
    #: its own.
    names: tuple[str, ...] = Field(default=(), max_length=20)
    #: Hours after which a reader who did nothing is asked in again [h]. Judgement.
    idle_h: float = Field(default=12.0, gt=0, le=720, allow_inf_nan=False)
    #: Address of the tiles of a base map, with {z}, {x} and {y}; none is asked for without it.
    tiles: str | None = Field(default=None, pattern=r"^https://[^\s]+\{z\}[^\s]*$", max_length=300)
    #: What the maker of the tiles wants said below the map.
    tiles_credit: str = Field(default="", max_length=200)
