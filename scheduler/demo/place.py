"""The fields of the invented co-op. Every name, number and outline is made up."""

from dataclasses import dataclass
from datetime import date
from typing import Any, cast

from scheduler.demo.cells import Cell
from scheduler.demo.ground import Ring, Shape, field_outline
from scheduler.demo.tables import rows


@dataclass(frozen=True)
class Plot:
    """One field as the demo farm registers it; ``acres`` is what its outline holds."""

    id: str
    name: str
    grower_id: str
    treatment_id: str
    cell: str
    slot: int
    shape: Shape
    acres: float
    planted_on: date
    cold_spot_f: float = 0.0
    region: str | None = None
    acres_stated: bool = True

    def outline(self, cell: Cell) -> Ring:
        """Closed ring of (longitude, latitude) [deg] in ``cell``."""
        return field_outline(cell.column, cell.row, self.slot, self.shape, self.acres)


_PLOTS = """\
id              | name             | grower  | treatment | cell  | slot | shape          | acres | planted    | cold | region
windmill        | Windmill Quarter | hallock | aid-12    | gin   | 0    | square         | 156   | 2026-05-08 | 0    |
gin-road        | Gin Road Eighty  | hallock | aid-12    | gin   | 1    | eighty         | 78    | 2026-05-06 | 0    |
schoolhouse     | Schoolhouse      | quillen | aid-24    | gin   | 2    | pivot          | 121   | 2026-05-19 | 0    |
caliche         | Caliche Pit      | quillen | aid-12    | gin   | 3    | cut_corner     | 132   | 2026-06-04 | 0    |
bench-north     | North Bench      | hallock | aid-12    | north | 0    | square         | 148   | 2026-05-12 | 0    | bench
cistern         | Cistern          | aldama  | aid-12    | north | 1    | pivot          | 118   | 2026-05-05 | 0    |
two-gates       | Two Gates        | aldama  | aid-24    | north | 2    | eighty         | 74    | 2026-05-20 | 0    |
dry-lake        | Dry Lake         | quillen | aid-12    | north | 3    | quarter_circle | 92    | 2026-05-29 | 3    |
plum-thicket    | Plum Thicket     | aldama  | aid-24    | east  | 0    | pivot          | 124   | 2026-05-10 | 0    |
old-orchard     | Old Orchard      | hallock | aid-12    | east  | 1    | cut_corner     | 88    | 2026-05-03 | 0    |
long-eighty     | Long Eighty      | aldama  | aid-12    | east  | 2    | eighty         | 80    | 2026-05-22 | 0    |
old-tank        | Old Tank Half    | quillen | aid-12    | east  | 3    | square         | 104   | 2026-05-14 | 0    |
ridge           | Ridge Quarter    | quillen | aid-12    | windy | 0    | square         | 152   | 2026-05-09 | 0    |
antelope        | Antelope         | quillen | aid-12    | windy | 1    | pivot          | 119   | 2026-05-18 | 0    |
stony-cap       | Stony Cap        | aldama  | aid-12    | windy | 2    | cut_corner     | 96    | 2026-05-27 | 0    |
far-corner      | Far Corner       | aldama  | aid-24    | windy | 3    | eighty         | 66    | 2026-05-16 | 0    |
creek-bottom    | Creek Bottom     | hallock | aid-12    | creek | 0    | cut_corner     | 110   | 2026-05-11 | 4    |
salt-flat       | Salt Flat        | hallock | aid-24    | creek | 1    | quarter_circle | 84    | 2026-06-02 | 2    |
beaver-trap     | Beaver Trap      | aldama  | aid-12    | creek | 2    | eighty         | 58    | 2026-05-21 | 2    |
low-ford        | Low Ford         | quillen | aid-12    | creek | 3    | square         | 90    | 2026-05-15 | 0    |
south-pivot     | South Pivot      | quillen | aid-12    | south | 0    | pivot          | 125   | 2026-05-09 | 0    |
mesquite        | Mesquite         | aldama  | aid-12    | south | 1    | square         | 138   | 2026-05-13 | 0    |
turnrow         | Turnrow Forty    | hallock | aid-12    | south | 2    | square         | 40    | 2026-05-30 | 4    |
blackjack       | Blackjack        | quillen | aid-24    | south | 3    | eighty         | 76    | 2026-05-28 | 0    |
dugout          | Dugout           | aldama  | aid-24    | hole  | 0    | pivot          | 117   | 2026-05-10 | 0    |
fence-line      | Fence Line       | aldama  | aid-12    | hole  | 1    | square         | 100   | 2026-05-31 | 0    |
bell-mare       | Bell Mare        | hallock | aid-12    | hole  | 2    | cut_corner     | 128   | 2026-05-01 | 0    |
west-well       | West Well        | quillen | aid-12    | stale | 0    | square         | 144   | 2026-05-12 | 0    |
owl-barn        | Owl Barn         | hallock | aid-12    | stale | 1    | pivot          | 122   | 2026-05-02 | 0    |
sunflower       | Sunflower        | quillen | aid-12    | stale | 2    | eighty         | 72    | 2026-05-04 | 0    |
"""  # noqa: E501


def plots() -> tuple[Plot, ...]:
    """The thirty fields, in the order they are registered."""
    return tuple(_plot(row) for row in rows(_PLOTS))


def _plot(row: dict[str, str]) -> Plot:
    shape: Any = row["shape"]
    return Plot(
        id=row["id"],
        name=row["name"],
        grower_id=row["grower"],
        treatment_id=row["treatment"],
        cell=row["cell"],
        slot=int(row["slot"]),
        shape=cast("Shape", shape),
        acres=float(row["acres"]),
        planted_on=date.fromisoformat(row["planted"]),
        cold_spot_f=float(row["cold"]),
        region=row["region"] or None,
        # Pivots are left to be measured from their outline.
        acres_stated=row["shape"] != "pivot",
    )
