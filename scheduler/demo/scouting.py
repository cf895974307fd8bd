"""What the invented scouts counted, and what has been sprayed, before the demo's morning.

Visits run from far too green to overripe, with a disagreement between two counts, a failed cut
test, an estimate from the road, a visit too old to speak for its field, and a field never seen.
"""

from datetime import UTC, datetime, timedelta
from uuid import UUID, uuid5

from farm.records import Spray, Visit
from scheduler.demo.tables import rows

#: Names the demo's records, so that writing the farm twice gives the same ones.
_RECORDS = UUID("5d0c3c7e-6f0d-4c55-9a0e-2f6c1d7b8e41")

#: ``hour`` is on the farm's clock (five hours behind UTC in early October); ``low_cut`` and
#: ``low_ripe`` are the bolls on vegetative branches. An empty place was not counted.
_VISITS = """\
field        | days | hour | scout          | plants | nacb | open | cut | ripe | low_cut | low_ripe | road | note
windmill     | 1    | 9    | Ivy Castellan  | 12     | 3.2  | 64   | 12  | 12   |         |          |      |
gin-road     | 2    | 10   | Ivy Castellan  | 10     | 2.4  | 76   |     |      |         |          |      |
schoolhouse  | 1    | 11   | Ben Aldersey   | 12     | 5.1  | 52   |     |      |         |          |      | top crop still filling
caliche      | 5    | 10   | Ben Aldersey   | 10     | 9.0  | 20   |     |      |         |          |      | late replant
bench-north  | 2    | 14   | Ivy Castellan  | 12     | 3.8  | 54   | 12  | 12   |         |          |      | set early and short
cistern      | 3    | 9    | Ivy Castellan  | 10     | 2.0  | 80   |     |      | 8       | 8        |      | skips; many bolls low on side branches
two-gates    | 2    | 15   | Ben Aldersey   | 10     | 4.6  | 55   |     |      |         |          |      |
dry-lake     | 4    | 9    | Ben Aldersey   | 10     | 7.5  | 30   |     |      |         |          |      |
plum-thicket | 1    | 14   | Ivy Castellan  | 12     | 3.0  | 68   |     |      |         |          |      |
old-orchard  | 3    | 16   | Ivy Castellan  | 10     | 0.8  | 92   |     |      |         |          |      | past ready, waiting on the rig
long-eighty  | 2    | 9    | Ben Aldersey   | 10     | 5.8  | 44   |     |      |         |          |      |
old-tank     | 1    | 16   | Ivy Castellan  | 12     | 3.9  | 61   | 12  | 6    |         |          |      | half of the top bolls still watery
ridge        | 2    | 11   | Ivy Castellan  | 12     | 2.8  | 72   |     |      |         |          |      |
antelope     | 3    | 14   | Ben Aldersey   | 10     | 4.8  | 50   |     |      |         |          |      |
stony-cap    | 4    | 15   | Ben Aldersey   | 10     | 7.0  | 33   |     |      |         |          |      |
far-corner   | 12   | 10   | Ben Aldersey   | 10     | 6.2  | 42   |     |      |         |          |      |
creek-bottom | 1    | 10   | Ivy Castellan  | 12     | 3.4  | 63   |     |      |         |          |      |
salt-flat    | 4    | 11   | Ben Aldersey   | 10     | 8.5  | 22   |     |      |         |          |      |
low-ford     | 1    | 18   | Wade Ollerton  |        |      | 65   |     |      |         |          | yes  | looked white from the road
south-pivot  | 2    | 8    | Ivy Castellan  | 12     | 3.5  | 66   |     |      |         |          |      |
mesquite     | 2    | 17   | Ben Aldersey   | 10     | 3.6  | 38   |     |      |         |          |      | counts do not agree; top bolls not cut
turnrow      | 3    | 11   | Ben Aldersey   | 10     | 8.2  | 24   |     |      |         |          |      |
blackjack    | 3    | 12   | Ben Aldersey   | 10     | 6.2  | 39   |     |      |         |          |      |
dugout       | 1    | 8    | Ivy Castellan  | 12     | 3.3  | 65   |     |      |         |          |      |
fence-line   | 3    | 15   | Ben Aldersey   | 10     | 7.2  | 31   |     |      |         |          |      |
bell-mare    | 15   | 9    | Ivy Castellan  | 10     | 2.6  | 74   |     |      |         |          |      |
west-well    | 2    | 13   | Ivy Castellan  | 12     | 2.9  | 70   |     |      |         |          |      |
owl-barn     | 11   | 9    | Ivy Castellan  | 10     | 2.2  | 78   |     |      |         |          |      |
sunflower    | 8    | 9    | Ivy Castellan  | 10     | 3.1  | 69   |     |      |         |          |      |
"""  # noqa: E501

_SPRAYS = """\
field     | days | hour | treatment | rig   | applicator   | note
bell-mare | 13   | 11   | aid-12    | wide  | Dell Ransome |
owl-barn  | 9    | 14   | aid-12    | wide  | Dell Ransome |
sunflower | 6    | 10   | aid-24    | small | Pete Marrow  | wind picked up at the end
"""

_FARM_BEHIND_UTC = timedelta(hours=5)


def visits(now_utc: datetime) -> tuple[Visit, ...]:
    """The scouting visits before ``now_utc``, aware, one a field at most."""
    return tuple(_visit(row, now_utc) for row in rows(_VISITS))


def sprays(now_utc: datetime) -> tuple[Spray, ...]:
    """The applications before ``now_utc``, aware."""
    return tuple(_spray(row, now_utc) for row in rows(_SPRAYS))


def _visit(row: dict[str, str], now_utc: datetime) -> Visit:
    at_utc = _days_back(now_utc, row)
    return Visit(
        uuid=_record("visit", row["field"], at_utc),
        field_id=row["field"],
        observed_utc=at_utc,
        scout=row["scout"],
        plants_counted=_count(row["plants"]),
        nodes_above_cracked_boll=_number(row["nacb"]),
        percent_open=_number(row["open"]),
        bolls_cut=_count(row["cut"]),
        bolls_cut_mature=_count(row["ripe"]),
        vegetative_bolls_cut=_count(row["low_cut"]),
        vegetative_bolls_mature=_count(row["low_ripe"]),
        windshield=row["road"] == "yes",
        note=row["note"],
    )


def _spray(row: dict[str, str], now_utc: datetime) -> Spray:
    at_utc = _days_back(now_utc, row)
    return Spray(
        uuid=_record("spray", row["field"], at_utc),
        field_id=row["field"],
        sprayed_utc=at_utc,
        treatment_id=row["treatment"],
        rig_id=row["rig"],
        applicator=row["applicator"],
        note=row["note"],
    )


def _days_back(now_utc: datetime, row: dict[str, str]) -> datetime:
    day = (now_utc.astimezone(UTC) - _FARM_BEHIND_UTC - timedelta(days=int(row["days"]))).date()
    local = datetime(day.year, day.month, day.day, int(row["hour"]), tzinfo=UTC)
    return local + _FARM_BEHIND_UTC


def _record(kind: str, field_id: str, at_utc: datetime) -> UUID:
    return uuid5(_RECORDS, f"{kind} {field_id} {at_utc.isoformat()}")


def _number(text: str) -> float | None:
    return float(text) if text else None


def _count(text: str) -> int | None:
    return int(text) if text else None
