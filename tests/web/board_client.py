"""A browser of somebody who is in, without a window: for the tests of pages and answers."""

from datetime import UTC, datetime, timedelta
from typing import Any

from fastapi import FastAPI
from fastapi.testclient import TestClient
from httpx2 import Response

from farm.account import Account
from farm.board_role import BoardRole
from storage.stores import Stores
from web.account_sessions import AccountSessions, reader_of
from web.guard import FORM_KEY
from web.sessions import form_key, key_of, new_secret

#: Where the board of the tests is reached, by TLS as its readers do.
ADDRESS = "https://board.example.org"
#: Stands where a hash would: nobody logs in with it, and nothing is spent on making one.
NO_PASSWORD = "no password goes with this account"


class SetClock:
    """A clock that stands until it is moved."""

    def __init__(self, now: datetime) -> None:
        self.now = now

    def __call__(self) -> datetime:
        return self.now

    def passes(self, time: timedelta) -> None:
        """Let time pass."""
        self.now += time


class BoardClient(TestClient):
    """A test client with the key that forms of its session must bring back."""

    form_key: str = ""
    #: The secret of its session, and the name of its account.
    secret: str = ""
    account: str = ""

    def send_form(self, path: str, **typed: Any) -> Response:
        """Send a form of ours; the answer is not followed to where it leads."""
        data = {FORM_KEY: self.form_key, **typed}
        return self.post(path, data=data, follow_redirects=False)


def outsider(app: FastAPI, address: str = "203.0.113.1") -> BoardClient:
    """A browser of nobody; what breaks inside comes out as the answer readers would get."""
    from_ = (address, 50_000)
    return BoardClient(app, base_url=ADDRESS, raise_server_exceptions=False, client=from_)


def reader_client(
    app: FastAPI, stores: Stores, role: BoardRole, grower_ids: tuple[str, ...], now: datetime
) -> BoardClient:
    """A browser whose session has begun, of an account made for it."""
    name = "-".join(("test", role, *grower_ids)).lower()
    if stores.accounts.of_name(name) is None:
        stores.accounts.add(
            Account(
                name=name,
                role=role,
                grower_ids=grower_ids,
                password_hash=NO_PASSWORD,
                added_utc=now.astimezone(UTC),
            )
        )
    account = stores.accounts.of_name(name)
    assert account is not None
    client, secret = outsider(app), new_secret()
    AccountSessions(stores.accounts, stores.sessions).begin(key_of(secret), reader_of(account), now)
    client.cookies.set(app.state.entrance.cookie, secret)
    client.form_key, client.secret, client.account = form_key(secret), secret, name
    return client
