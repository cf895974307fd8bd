"""A board over the demo's farm, and browsers of people with accounts.

``client_as("grower", ("hallock",))`` is somebody who is in; ``.form_key`` is the key of their
forms, ``.send_form(path, name="value")`` sends one. ``outside`` is nobody. ``clock.passes(...)``
lets time pass. Every test has a copy of the farm of its own and may spoil it.
"""

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from fastapi import FastAPI

from farm.board_role import BoardRole
from scheduler.board.desk import desk_of
from scheduler.demo_morning import demo_morning
from scheduler.opening import OpenFarm, open_farm
from tests.web.board_client import BoardClient, SetClock, outsider, reader_client
from web.account_sessions import AccountSessions
from web.app import make_app
from web.desk import Desk
from web.settings import BoardSettings

ClientAs = Callable[..., BoardClient]


@pytest.fixture(scope="session")
def demo_made_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's farm after its morning, as `warmspell demo` leaves it. Not to be changed."""
    folder = tmp_path_factory.mktemp("board") / "farm"
    demo_morning(folder)
    return folder


@pytest.fixture
def demo(demo_made_once: Path, tmp_path: Path) -> Path:
    """The folder of a copy of the demo's farm."""
    return Path(shutil.copytree(demo_made_once, tmp_path / "farm"))


@pytest.fixture
def farm(demo: Path) -> Iterator[OpenFarm]:
    """The farm, open."""
    with open_farm(demo / "farm.toml") as opened:
        yield opened


@pytest.fixture
def clock(farm: OpenFarm) -> SetClock:
    """The clock of the board: 6:10 am of the demo's morning until a test moves it."""
    return SetClock(farm.now)


@pytest.fixture
def desk(farm: OpenFarm, clock: SetClock) -> Desk:
    """What the board asks of the farm."""
    return desk_of(farm, clock)


@pytest.fixture
def settings() -> BoardSettings:
    """Settings of a board with accounts; a test file may have its own."""
    return BoardSettings(accounts=True, names=("board.example.org",))


@pytest.fixture
def app(desk: Desk, farm: OpenFarm, settings: BoardSettings) -> FastAPI:
    """The board with accounts, as readers reach it by TLS."""
    accounts = farm.stores.accounts
    keys = AccountSessions(accounts, farm.stores.sessions)
    return make_app(desk, settings, accounts=accounts, sessions=keys, secure=True)


@pytest.fixture
def outside(app: FastAPI) -> BoardClient:
    """A browser of nobody."""
    return outsider(app)


@pytest.fixture
def client_as(app: FastAPI, farm: OpenFarm, clock: SetClock) -> ClientAs:
    """Makes a browser of somebody who is in, by role; a grower's sees ``grower_ids``."""

    def enter(role: BoardRole, grower_ids: tuple[str, ...] = ()) -> BoardClient:
        return reader_client(app, farm.stores, role, grower_ids, clock())

    return enter
