"""How a day's messages stand, without reading what they say."""

from datetime import date

from sqlalchemy import select

from storage.database import Database
from storage.tables import deliveries

#: (person id, channel, kind, state) of one message.
Standing = tuple[str, str, str, str]


def standings(database: Database, local_date: date) -> tuple[Standing, ...]:
    """Every message of a local date and its state, in the order they were planned."""
    columns = deliveries.c
    asked = select(columns.person_id, columns.channel, columns.kind, columns.state)
    of_day = asked.where(columns.local_date == local_date).order_by(columns.id)
    with database.read() as connection:
        rows = connection.execute(of_day).all()
    return tuple((row.person_id, row.channel, row.kind, row.state) for row in rows)
