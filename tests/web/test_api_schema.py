"""Every address of the description asked with what it allows and what it does not: a smoke net.

Few examples and always the same; what the answers say is held by test_api.py.
"""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
import schemathesis
from fastapi import FastAPI
from hypothesis import HealthCheck, Phase, given, seed, settings
from schemathesis.specs.openapi.checks import ignored_auth

from scheduler.board.desk import desk_of
from scheduler.opening import open_farm
from tests.web.board_client import reader_client
from web.account_sessions import AccountSessions
from web.api import description
from web.app import make_app
from web.settings import BoardSettings

#: Examples of each address; with a session of somebody who sees all, and one who does not.
EXAMPLES = 12


@pytest.fixture(scope="module")
def board(demo_made_once: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[FastAPI]:
    """One board for all examples; nothing they ask changes it."""
    folder = shutil.copytree(demo_made_once, tmp_path_factory.mktemp("schema") / "farm")
    with open_farm(Path(folder) / "farm.toml") as farm:
        desk = desk_of(farm, lambda: farm.now)
        accounts = farm.stores.accounts
        keys = AccountSessions(accounts, farm.stores.sessions)
        known = BoardSettings(accounts=True, names=("testserver",))
        app = make_app(desk, known, accounts=accounts, sessions=keys)
        app.state.farm = farm
        yield app


@pytest.fixture(scope="module")
def schema(board: FastAPI) -> schemathesis.BaseSchema:
    """The description, as a program with a session reads it."""
    farm = board.state.farm
    client = reader_client(board, farm.stores, "grower", ("hallock",), farm.now)
    cookie = {"Cookie": f"{board.state.entrance.cookie}={client.secret}"}
    told = schemathesis.openapi.from_asgi("/api/openapi.json", board, headers=cookie)
    told.cookie = cookie
    return told


def test_every_answer_is_as_described(schema) -> None:
    asked = []

    def ask(operation: schemathesis.APIOperation) -> None:
        @seed(7)
        @settings(
            max_examples=EXAMPLES,
            deadline=None,
            database=None,
            phases=[Phase.explicit, Phase.generate],
            suppress_health_check=list(HealthCheck),
        )
        @given(case=operation.as_strategy())
        def answered(case: schemathesis.Case) -> None:
            asked.append(operation.path)
            # Every example brings the session; who has none is asked of in test_api.py.
            head = dict(schema.cookie)
            case.call_and_validate(headers=head, excluded_checks=[ignored_auth])

        answered()

    for found in schema.get_all_operations():
        ask(found.ok())
    assert set(asked) == set(description()["paths"])
