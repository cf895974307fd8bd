"""Addresses of calendars, by the digest of their secret; the secret itself is kept nowhere."""

from datetime import datetime

from sqlalchemy import delete, insert, select

from farm.board_feed import Feed
from storage.database import Database
from storage.record_text import noun_from, text_of
from storage.tables import board_feeds


class FeedStore:
    """Feeds. One that was ended is gone: its address answers as one that never was."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def add(self, key: str, feed: Feed, now: datetime) -> None:
        """Keep a new one."""
        row = {"key": key, "account": feed.owner, "record": text_of(feed), "made_utc": now}
        with self._database.write() as connection:
            connection.execute(insert(board_feeds), [row])

    def of_key(self, key: str) -> Feed | None:
        """What an address tells; None where there is none, or it was ended."""
        with self._database.read() as connection:
            row = connection.execute(select(board_feeds).where(board_feeds.c.key == key)).first()
        return None if row is None else _read(row.record)

    def of_owner(self, owner: str) -> tuple[tuple[str, Feed, datetime], ...]:
        """Keys, feeds and when they were made, the oldest first."""
        columns = board_feeds.c
        asked = select(board_feeds).where(columns.account == owner)
        with self._database.read() as connection:
            rows = connection.execute(asked.order_by(columns.made_utc, columns.key)).all()
        return tuple((row.key, _read(row.record), row.made_utc) for row in rows)

    def end(self, key: str, owner: str) -> bool:
        """End one of an owner; False where they have none by that key."""
        columns = board_feeds.c
        mine = (columns.key == key, columns.account == owner)
        with self._database.write() as connection:
            return connection.execute(delete(board_feeds).where(*mine)).rowcount > 0


def _read(text: str) -> Feed:
    return noun_from(text, Feed, "address of a calendar")
