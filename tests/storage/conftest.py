"""A farm's database in a folder of its own, and invented records to keep in it."""

import shutil
from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime
from pathlib import Path
from uuid import uuid4

import numpy as np
import pytest
from sqlalchemy import text

from agronomy.hourly_forecast import QUANTITIES, CellForecast
from farm.field import Field
from farm.message import PlannedMessage
from farm.records import Freeze, FreezeInspection, Harvest, Spray, Visit
from farm.retraction import Retraction, retraction_uuid
from storage.append_only import Record
from storage.stores import Stores, open_stores
from tests.storage.real_server import Server, plain_engine, the_server

NOW = datetime(2026, 10, 6, 10, 30, tzinfo=UTC)


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """Run a test on both databases, unless it asks for the file of the embedded one."""
    asked = metafunc.fixturenames
    if "kind" in asked:
        kinds = ["sqlite"] if "farm_file" in asked else ["sqlite", "postgresql"]
        metafunc.parametrize("kind", kinds)


@pytest.fixture
def now() -> datetime:
    return NOW


@pytest.fixture
def farm_file(tmp_path: Path) -> Path:
    return tmp_path / "farm.db"


@pytest.fixture(scope="session")
def new_farm(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("new") / "farm.db"
    open_stores(path, ".").close()
    return path


@pytest.fixture
def server() -> Server:
    return the_server()


@pytest.fixture
def farm_address(kind: str, request: pytest.FixtureRequest) -> str:
    """The address of a farm's database, new and with our tables."""
    if kind == "postgresql":
        return the_server().emptied_farm()
    file: Path = request.getfixturevalue("farm_file")
    shutil.copy(request.getfixturevalue("new_farm"), file)
    return f"sqlite:///{file}"


@pytest.fixture
def new_address(kind: str, request: pytest.FixtureRequest) -> str:
    """The address of a database that holds nothing at all."""
    if kind == "postgresql":
        return the_server().new_database()
    return f"sqlite:///{request.getfixturevalue('farm_file')}"


@pytest.fixture
def stores(farm_address: str) -> Iterator[Stores]:
    with open_stores(farm_address, ".") as opened:
        yield opened


@pytest.fixture
def behind(farm_address: str) -> Callable[[str], None]:
    """Change a farm's database as another program would, past all our rules."""

    def change(statement: str) -> None:
        with plain_engine(farm_address).begin() as connection:
            connection.execute(text(statement))

    return change


@pytest.fixture
def a_field() -> Callable[..., Field]:
    def build(**changes: object) -> Field:
        values: dict[str, object] = {
            "id": "north-draw",
            "name": "North Draw",
            "grower_id": "abel",
            "latitude": 34.1,
            "longitude": -101.6,
            "acres": 118.0,
            "time_zone": "America/Chicago",
            "treatment_id": "mix-a",
        }
        return Field(**(values | changes))

    return build


def _maker(model: type[Record], **usual: object) -> Callable[..., Record]:
    """Makes records of one field, each with a uuid of its own, as usual but for what is named."""

    def build(**changes: object) -> Record:
        return model(**({"uuid": uuid4(), "field_id": "north-draw"} | usual | changes))

    return build


@pytest.fixture
def a_visit() -> Callable[..., Visit]:
    return _maker(Visit, observed_utc=NOW, nodes_above_cracked_boll=3.2, percent_open=64.0)


@pytest.fixture
def a_spray() -> Callable[..., Spray]:
    return _maker(Spray, sprayed_utc=NOW, treatment_id="mix-a")


@pytest.fixture
def a_harvest() -> Callable[..., Harvest]:
    return _maker(Harvest, harvested_utc=NOW, acres=60.5)


@pytest.fixture
def a_freeze() -> Callable[..., Freeze]:
    return _maker(Freeze, froze_utc=NOW, low_f=27.5)


@pytest.fixture
def an_inspection() -> Callable[..., FreezeInspection]:
    return _maker(FreezeInspection, inspected_utc=NOW, found="killed")


@pytest.fixture
def a_retraction() -> Callable[..., Retraction]:
    """Makes the retraction of a record, of a spray unless it says otherwise."""

    def build(of: Record, **changes: object) -> Retraction:
        usual = {"field_id": of.field_id, "retracted_utc": NOW, "kind": "spray"}
        own = {"uuid": retraction_uuid(of.uuid), "of_uuid": of.uuid}
        return Retraction(**(usual | own | changes))

    return build


@pytest.fixture
def a_forecast() -> Callable[..., CellForecast]:
    def build(
        cell_id: str = "nws:XYZ/10,20",
        issued_utc: datetime | None = NOW,
        temp_f: float = 61.0,
        hours: int = 168,
        **changes: object,
    ) -> CellForecast:
        hourly = {name: np.full(hours, np.nan, dtype=np.float32) for name in QUANTITIES}
        hourly["temp_f"] = np.full(hours, temp_f, dtype=np.float32)
        values: dict[str, object] = {
            "source": "invented",
            "fetched_utc": NOW,
            "start_utc": NOW.replace(minute=0),
            "hourly": hourly,
        }
        return CellForecast(cell_id=cell_id, issued_utc=issued_utc, **(values | changes))

    return build


@pytest.fixture
def a_message() -> Callable[..., PlannedMessage]:
    def build(**changes: object) -> PlannedMessage:
        values: dict[str, object] = {
            "person_id": "ana",
            "local_date": date(2026, 10, 6),
            "kind": "morning",
            "revision": 1,
            "channel": "mail",
            "address": "ana@example.org",
            "message_id": "<20261006.1f0c@sandhill.example>",
            "subject": "Tue 6 Oct: spray 4",
            "body": b"Subject: Tue 6 Oct: spray 4\r\n\r\nNorth Draw\r\n",
        }
        return PlannedMessage(**(values | changes))

    return build
