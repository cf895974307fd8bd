"""The forecast cells of the invented co-op, and how their answers differ."""

from dataclasses import dataclass, field
from datetime import UTC, datetime

from scheduler.demo.ground import cell_outline
from scheduler.demo.nws_form import Answer, GridSpot, gridpoint_answer
from scheduler.demo.nws_layers import Holes
from scheduler.demo.weather import CellWeather, hourly_weather

#: Office of the invented cells; no office of the US Weather Service has this name.
OFFICE = "QQX"
#: Grid numbers of the cell in the middle.
MIDDLE_GRID = (61, 84)
#: First hour and issue time of a fresh answer, 2:40 am on the farm's clock.
FRESH_FROM_UTC = datetime(2026, 10, 6, 1, tzinfo=UTC)
FRESH_ISSUED_UTC = datetime(2026, 10, 6, 7, 40, tzinfo=UTC)
#: First hour and issue time of the stale one, 30 hours before the demo's morning.
STALE_FROM_UTC = datetime(2026, 10, 4, 23, tzinfo=UTC)
STALE_ISSUED_UTC = datetime(2026, 10, 5, 5, 10, tzinfo=UTC)
#: Length of every answer [h]: eight days and fourteen hours, as they often come.
ANSWER_H = 206

#: The hole: wind left out from 10 am to 5 pm, rain null from 1 pm to 1 am, on the first day.
HOLE = Holes(
    left_out={
        "windSpeed": (
            datetime(2026, 10, 6, 15, tzinfo=UTC),
            datetime(2026, 10, 6, 22, tzinfo=UTC),
        )
    },
    nulled={
        "quantitativePrecipitation": (
            datetime(2026, 10, 6, 18, tzinfo=UTC),
            datetime(2026, 10, 7, 6, tzinfo=UTC),
        )
    },
)


@dataclass(frozen=True)
class Cell:
    """One forecast cell: its place on the grid, its weather, and what is wrong with its answer."""

    column: int
    row: int
    elevation_m: float = 762.0
    weather: CellWeather = field(default_factory=CellWeather)
    holes: Holes = field(default_factory=Holes)
    first_utc: datetime = FRESH_FROM_UTC
    issued_utc: datetime = FRESH_ISSUED_UTC

    @property
    def spot(self) -> GridSpot:
        """The cell as the provider names it."""
        return GridSpot(
            office=OFFICE,
            x=MIDDLE_GRID[0] + self.column,
            y=MIDDLE_GRID[1] + self.row,
            outline=cell_outline(self.column, self.row),
            elevation_m=self.elevation_m,
        )

    def answer(self) -> Answer:
        """The provider's answer for the cell."""
        weather = hourly_weather(self.weather, self.first_utc, ANSWER_H)
        return gridpoint_answer(self.spot, weather, self.issued_utc, self.holes)


#: The cells by a short name: ``windy`` blows out until late afternoon, ``creek`` lies low and
#: cools most on clear nights, ``hole`` answers with missing hours, ``stale`` with an old issue.
CELLS: dict[str, Cell] = {
    "gin": Cell(0, 0, weather=CellWeather(dew_offset_f=-1)),
    "north": Cell(1, 2, 786.0, CellWeather(high_offset_f=-1, low_offset_f=-1)),
    "east": Cell(3, 1, 744.0, CellWeather(high_offset_f=1)),
    "windy": Cell(2, 4, 829.0, CellWeather(high_offset_f=-1, wind_extra_kt=1, blown_out_kt=7)),
    "creek": Cell(4, 3, 701.0, CellWeather(clear_night_drop_f=4, dew_offset_f=1)),
    "south": Cell(1, -2, 747.0, CellWeather(high_offset_f=1, dew_offset_f=1, rain_frac=0.8)),
    "hole": Cell(5, 0, 728.0, CellWeather(low_offset_f=-1), holes=HOLE),
    "stale": Cell(
        -2,
        1,
        799.0,
        CellWeather(high_offset_f=-1),
        first_utc=STALE_FROM_UTC,
        issued_utc=STALE_ISSUED_UTC,
    ),
}
