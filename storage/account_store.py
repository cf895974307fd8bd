"""Accounts of the board, and the sessions they have begun."""

from collections.abc import Callable
from datetime import datetime, timedelta

from sqlalchemy import Select, delete, insert, select, update

from farm.account import Account
from storage.database import Database
from storage.errors import StorageError
from storage.record_text import noun_from, text_of
from storage.tables import board_accounts, board_feeds, board_sessions

#: How often it is written down that a session is still used [min]; not at every page.
SEEN_EVERY = timedelta(minutes=5)


class AccountStore:
    """Accounts by name. A closed one stays, so that its name is not given to somebody else."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def add(self, account: Account) -> None:
        """Keep a new account; StorageError where the name was given before."""
        with self._database.write() as connection:
            if connection.execute(_of(account.name)).first() is not None:
                raise StorageError(
                    f"account {account.name}: there is one by that name already; name another"
                )
            row = {"name": account.name, "record": text_of(account)}
            connection.execute(insert(board_accounts), [row])

    def change(self, name: str, change: Callable[[Account], Account]) -> Account:
        """Change an account, end its sessions and its feeds, and return it as it is now.

        Raises
        ------
        StorageError
            There is none by that name.
        """
        with self._database.write() as connection:
            row = connection.execute(_of(name)).first()
            if row is None:
                raise StorageError(
                    f"account {name}: there is none by that name; see warmspell board list"
                )
            account = change(_read(name, row.record))
            mine = board_accounts.c.name == name
            connection.execute(update(board_accounts).where(mine).values(record=text_of(account)))
            for table in (board_sessions, board_feeds):
                connection.execute(delete(table).where(table.c.account == name))
        return account

    def of_name(self, name: str) -> Account | None:
        """The account of a name, closed or not."""
        with self._database.read() as connection:
            row = connection.execute(_of(name)).first()
        return None if row is None else _read(name, row.record)

    def all(self) -> tuple[Account, ...]:
        """Every account by name."""
        asked = select(board_accounts).order_by(board_accounts.c.name)
        with self._database.read() as connection:
            rows = connection.execute(asked).all()
        return tuple(_read(row.name, row.record) for row in rows)


class SessionStore:
    """Sessions by the digest of their secret; the secret itself is kept nowhere."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def begin(self, key: str, account: str, now: datetime) -> None:
        """Keep a new session."""
        row = {"key": key, "account": account, "begun_utc": now, "seen_utc": now}
        with self._database.write() as connection:
            connection.execute(insert(board_sessions), [row])

    def account(self, key: str, now: datetime, idle: timedelta) -> str | None:
        """Whose session it is; None where there is none, or nothing was done for ``idle``."""
        with self._database.read() as connection:
            row = connection.execute(
                select(board_sessions).where(board_sessions.c.key == key)
            ).first()
        if row is None or now - row.seen_utc > idle:
            return None
        if now - row.seen_utc > SEEN_EVERY:
            mine = board_sessions.c.key == key
            with self._database.write() as connection:
                connection.execute(update(board_sessions).where(mine).values(seen_utc=now))
        return str(row.account)

    def end(self, key: str) -> None:
        """Forget a session."""
        with self._database.write() as connection:
            connection.execute(delete(board_sessions).where(board_sessions.c.key == key))


def _of(name: str) -> Select[tuple[str, str]]:
    return select(board_accounts).where(board_accounts.c.name == name)


def _read(name: str, text: str) -> Account:
    return noun_from(text, Account, f"account {name}")
