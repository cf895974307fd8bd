"""Scores of forecasts as they were last found, for whoever looks at them later."""

import json
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import delete, insert, select

from storage.database import Database
from storage.errors import StorageError
from storage.tables import verifications


@dataclass(frozen=True)
class Verification:
    """Scores and when they were found."""

    verified_utc: datetime
    scores: dict[str, Any]


class VerificationStore:
    """The scores found last. Older ones are not kept: they can be found again."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def keep(self, scores: str, now: datetime) -> None:
        """Keep scores, a JSON object, in place of those before."""
        with self._database.write() as connection:
            row = insert(verifications).values(verified_utc=now, scores=scores)
            number = connection.execute(row.returning(verifications.c.id)).scalar_one()
            # In this order its number is new, and tells whoever watches that there are others.
            connection.execute(delete(verifications).where(verifications.c.id != number))

    def last(self) -> Verification | None:
        """The scores found last, or None where there are none.

        Raises
        ------
        StorageError
            They are damaged.
        """
        asked = select(verifications).order_by(verifications.c.id.desc()).limit(1)
        with self._database.read() as connection:
            row = connection.execute(asked).one_or_none()
        if row is None:
            return None
        try:
            scores = json.loads(row.scores)
        except ValueError:
            scores = None
        if not isinstance(scores, dict):
            raise StorageError(
                f"{self._database.place}: verifications row {row.id}: its content is no JSON "
                "object, so it was damaged; run warmspell verify again"
            )
        return Verification(row.verified_utc, scores)
