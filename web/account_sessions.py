"""Sessions of accounts, kept in the database: a closed or changed account is out at once."""

from datetime import datetime, timedelta
from typing import Protocol

from farm.account import Account
from web.sessions import Reader


class Accounts(Protocol):
    """The accounts of the board."""

    def of_name(self, name: str) -> Account | None:
        """The account of a name, closed or not."""
        ...


class AccountKeys(Protocol):
    """Sessions by the digest of their secret, each of one account."""

    def begin(self, key: str, account: str, now: datetime) -> None:
        """Keep a new session."""
        ...

    def account(self, key: str, now: datetime, idle: timedelta) -> str | None:
        """Whose session it is; None where there is none, or it was silent for ``idle``."""
        ...

    def end(self, key: str) -> None:
        """Forget a session."""
        ...


class AccountSessions:
    """`web.sessions.Sessions` of accounts: what an account may do is read at every request."""

    def __init__(self, accounts: Accounts, keys: AccountKeys) -> None:
        self._accounts, self._keys = accounts, keys

    def begin(self, key: str, reader: Reader, now: datetime) -> None:
        """Keep a new session."""
        self._keys.begin(key, reader.name, now)

    def reader(self, key: str, now: datetime, idle: timedelta) -> Reader | None:
        """Whose session it is."""
        name = self._keys.account(key, now, idle)
        account = None if name is None else self._accounts.of_name(name)
        if account is None or account.ended_utc is not None:
            return None
        return reader_of(account)

    def end(self, key: str) -> None:
        """Forget a session."""
        self._keys.end(key)


def reader_of(account: Account) -> Reader:
    """The person of an account."""
    return Reader(account.name, account.role, frozenset(account.grower_ids))
