"""Leases: who is at work on what, for how long, and who took it over."""

from datetime import datetime, timedelta

from sqlalchemy import delete, insert, select, update

from storage.database import Database
from storage.errors import StorageError
from storage.tables import leases


class LeaseStore:
    """One row for each thing that one worker at a time may do.

    A holder is named for one run of one program, never used twice. Its den is what only one
    holder at a time can be in, such as a lock of the operating system: whoever stands in it knows
    that the holder before has gone, and need not wait for its lease to run out.
    """

    def __init__(self, database: Database) -> None:
        self._database = database

    def take(self, name: str, holder: str, den: str, now: datetime, lease_s: float) -> str | None:
        """Hold ``name``, and say from whom it was taken over: "" where nobody had left it so.

        None where another holds it.
        """
        try:
            return self._take(name, holder, den, now, lease_s)
        except StorageError as fault:
            # On a server, of two that find no row at once the second cannot add its own.
            if fault.busy or self._holder(name) in (None, holder):
                raise
            return None

    def _take(self, name: str, holder: str, den: str, now: datetime, lease_s: float) -> str | None:
        row = {
            "holder": holder,
            "den": den,
            "until_utc": now + timedelta(seconds=lease_s),
        }
        with self._database.write() as connection:
            asked = select(leases).where(leases.c.name == name).with_for_update()
            found = connection.execute(asked).first()
            if found is None:
                connection.execute(insert(leases).values(name=name, **row))
                return ""
            ours = found.holder == holder
            over = found.until_utc <= now or found.den == den
            if not (ours or over):
                return None
            connection.execute(update(leases).where(leases.c.name == name).values(row))
            return "" if ours else str(found.holder)

    def extend(self, name: str, holder: str, now: datetime, lease_s: float) -> bool:
        """Hold ``name`` for longer; False where another has taken it over."""
        mine = (leases.c.name == name, leases.c.holder == holder)
        until = update(leases).where(*mine).values(until_utc=now + timedelta(seconds=lease_s))
        with self._database.write() as connection:
            return connection.execute(until).rowcount == 1

    def give_back(self, name: str, holder: str) -> None:
        """Let ``name`` go, unless another has taken it over."""
        mine = (leases.c.name == name, leases.c.holder == holder)
        with self._database.write() as connection:
            connection.execute(delete(leases).where(*mine))

    def _holder(self, name: str) -> str | None:
        asked = select(leases.c.holder).where(leases.c.name == name)
        with self._database.read() as connection:
            found: str | None = connection.execute(asked).scalar_one_or_none()
        return found
