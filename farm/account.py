"""Who may log in to a board that several people share."""

from pydantic import AwareDatetime, BaseModel, ConfigDict, model_validator
from pydantic import Field as Bounded

from farm.board_role import BoardRole


class Account(BaseModel):
    """One account. A grower's sees the fields of ``grower_ids`` and no other.

    ``password_hash`` holds its own salt and costs; ``ended_utc`` is set once it was closed.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str = Bounded(min_length=1, max_length=40, pattern=r"^[a-z0-9][a-z0-9._-]*$")
    role: BoardRole
    grower_ids: tuple[str, ...] = ()
    password_hash: str = Bounded(min_length=20, max_length=300, repr=False)
    added_utc: AwareDatetime
    ended_utc: AwareDatetime | None = None

    @model_validator(mode="after")
    def _growers_of_growers(self) -> "Account":
        if (self.role == "grower") != bool(self.grower_ids):
            got = "none" if not self.grower_ids else ", ".join(self.grower_ids)
            wanted = "at least one" if self.role == "grower" else "none"
            raise ValueError(
                f"grower_ids: got {got} for a {self.role}, wanted {wanted}; "
                "only a grower's account is bound to growers"
            )
        return self
