"""The forecast grid cell a field lies in."""

from pydantic import AwareDatetime, BaseModel, ConfigDict


class GridCell(BaseModel):
    """A provider's cell, named ``<provider>:<office>/<x>,<y>`` for gridded providers."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    id: str
    time_zone: str | None = None
    resolved_utc: AwareDatetime
