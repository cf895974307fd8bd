"""Stops and consents: only ever added, and a stop takes hold of what waits at once."""

from collections.abc import Collection

from sqlalchemy import Connection, Row, Select, insert, select, update

from farm.consent import Consent, address_key
from storage.database import Database
from storage.errors import StorageError
from storage.record_text import noun_from, seal_of, text_of
from storage.tables import consents, deliveries

#: What becomes of a message that waited when its reader said stop.
STOPPED = "the reader stopped these messages"


class ConsentStore:
    """What people said about being written to; the last word added on an address counts.

    The order they were added in, not the clock, so that a clock set back cannot undo a stop.
    """

    def __init__(self, database: Database) -> None:
        self._database = database

    def add(self, consent: Consent, person_ids: Collection[str] = ()) -> bool:
        """Keep a word; False where it is kept already, such as from a request sent twice.

        A stop also suppresses what waits for ``person_ids`` on its channel, in the same
        transaction.

        Raises
        ------
        StorageError
            Nothing was saved.
        """
        text = text_of(consent)
        with self._database.write() as connection:
            known = select(consents.c.id).where(consents.c.uuid == str(consent.uuid))
            if connection.execute(known).first() is not None:
                return False
            connection.execute(insert(consents), [_row(consent, text)])
            if consent.word == "stop" and person_ids:
                _suppress(connection, consent.channel, person_ids)
        return True

    def standing(self, channel: str, address: str) -> Consent | None:
        """The word that counts for an address, or None where none was ever said.

        Raises
        ------
        StorageError
            It cannot be read, or is not what was written.
        """
        key = address_key(channel, address)
        asked = _all().where(consents.c.channel == channel, consents.c.address_key == key)
        with self._database.read() as connection:
            rows = connection.execute(asked).all()
        # Each is read and verified: a damaged stop must not fall back to the word before it.
        told = [self._verified(row) for row in rows]
        return told[-1] if told else None

    def all(self) -> tuple[Consent, ...]:
        """Every word in the order it was added; raises StorageError naming a damaged row."""
        with self._database.read() as connection:
            rows = connection.execute(_all()).all()
        return tuple(self._verified(row) for row in rows)

    def damaged(self) -> tuple[int, tuple[str, ...]]:
        """How many words are kept, and a line for each that is not what was written."""
        with self._database.read() as connection:
            rows = connection.execute(_all()).all()
        faults = []
        for row in rows:
            try:
                self._verified(row)
            except StorageError as fault:
                faults.append(str(fault))
        return len(rows), tuple(faults)

    def _verified(self, row: Row[tuple[object, ...]]) -> Consent:
        where = f"{self._database.place}: consents row {row.id}"
        consent = noun_from(row.record, Consent, where)
        beside = (row.uuid, row.channel, row.address_key)
        if seal_of(row.record) != row.record_sha256 or beside != (
            str(consent.uuid),
            consent.channel,
            consent.address_key,
        ):
            raise StorageError(
                f"{where}: its content does not match its seal, so it was altered or damaged; "
                "put back a copy of the database"
            )
        return consent


def _all() -> Select[tuple[object, ...]]:
    return select(consents).order_by(consents.c.id)


def _row(consent: Consent, text: str) -> dict[str, object]:
    return {
        "uuid": str(consent.uuid),
        "channel": consent.channel,
        "address_key": consent.address_key,
        "told_utc": consent.told_utc,
        "record": text,
        "record_sha256": seal_of(text),
        "added_utc": consent.told_utc,
    }


def _suppress(connection: Connection, channel: str, person_ids: Collection[str]) -> None:
    columns = deliveries.c
    waiting = update(deliveries).where(
        columns.person_id.in_(sorted(person_ids)),
        columns.channel == channel,
        columns.state.in_(("pending", "failed")),
    )
    connection.execute(waiting.values(state="suppressed", next_try_utc=None, error=STOPPED))
