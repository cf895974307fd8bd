"""The plan of each morning, with the inputs it was made from."""

import json
import zlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from pydantic import ValidationError
from sqlalchemy import Row, Select, func, insert, select

from dispatch.report import MorningReport
from storage.database import Database
from storage.errors import StorageError
from storage.tables import plans


@dataclass(frozen=True)
class KeptPlan:
    """A plan as it was kept; ``report`` is None where its form is no longer read."""

    local_date: date
    report: MorningReport | None
    inputs: dict[str, Any]


class PlanStore:
    """Every plan as it was made; none is ever changed."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def keep(self, report: MorningReport, inputs: dict[str, Any], kind: str = "morning") -> None:
        """Keep a report and what it was made from; the same pair again is kept once.

        Parameters
        ----------
        report
            What the morning decided.
        inputs
            What JSON can hold: forecast issue of each field's cell, uuids of the visits used,
            settings, code version.
        kind
            What sort of plan it is.

        Raises
        ------
        StorageError
            A number is NaN or infinite, or something is not JSON.
        """
        run = report.run
        where = f"plan of {run.local_date} ({kind})"
        values = {
            "kind": kind,
            "local_date": run.local_date,
            "made_utc": run.made_utc,
            "report": _squeezed(_report_texts(report, f"{where}: report")),
            "inputs": _squeezed([_as_text(inputs, f"{where}: inputs")]),
        }
        same = [plans.c[name] == value for name, value in values.items()]
        with self._database.write() as connection:
            if connection.execute(select(plans.c.id).where(*same)).first() is None:
                connection.execute(insert(plans).values(values))

    def latest(self, kind: str = "morning") -> MorningReport | None:
        """The plan made last, or None where there is none."""
        return self._report(_last_made(kind))

    def on(self, local_date: date, kind: str = "morning") -> MorningReport | None:
        """The plan made last for a local date, or None where there is none."""
        return self._report(_last_made(kind).where(plans.c.local_date == local_date))

    def newest_date(self, kind: str = "morning") -> date | None:
        """The newest local date that has a plan, or None where none has."""
        asked = select(func.max(plans.c.local_date)).where(plans.c.kind == kind)
        with self._database.read() as connection:
            newest: date | None = connection.execute(asked).scalar_one()
        return newest

    def last_of_each_day(self, kind: str = "morning") -> Iterator[KeptPlan]:
        """The plan made last for each local date, in the order of the dates.

        A plan kept by a version whose form is no longer read comes without its report.
        """
        days = select(plans.c.local_date).where(plans.c.kind == kind).distinct()
        with self._database.read() as connection:
            dates = sorted(connection.execute(days).scalars())
        for local_date in dates:
            row = self._row(_last_made(kind).where(plans.c.local_date == local_date))
            if row is None:
                continue
            try:
                report: MorningReport | None = self._read(row)
            except StorageError:
                report = None
            yield KeptPlan(local_date, report, self._inputs(row))

    def made_by(self, moment: datetime, kind: str = "morning") -> KeptPlan | None:
        """The plan made last up to a moment, or None where there is none.

        Raises
        ------
        StorageError
            It is damaged, or was kept by a version whose form is no longer read.
        """
        row = self._row(_last_made(kind).where(plans.c.made_utc <= moment))
        if row is None:
            return None
        return KeptPlan(row.local_date, self._read(row), self._inputs(row))

    def last_inputs(self, moment: datetime, kind: str = "morning") -> dict[str, Any]:
        """What the plan made last up to a moment was made from, nothing where there is none."""
        row = self._row(_last_made(kind).where(plans.c.made_utc <= moment))
        return {} if row is None else self._inputs(row)

    def inputs_of(self, report: MorningReport, kind: str = "morning") -> dict[str, Any] | None:
        """What a kept report was made from, or None where it is not kept."""
        run = report.run
        row = self._row(
            _last_made(kind).where(
                plans.c.local_date == run.local_date, plans.c.made_utc == run.made_utc
            )
        )
        return None if row is None else self._inputs(row)

    def _report(self, asked: Select[Any]) -> MorningReport | None:
        row = self._row(asked)
        return None if row is None else self._read(row)

    def _read(self, row: Row[Any]) -> MorningReport:
        try:
            return MorningReport.model_validate_json(self._text(row, row.report))
        except ValidationError as fault:
            first = fault.errors()[0]
            key = ".".join(str(part) for part in first["loc"])
            raise StorageError(
                f"{self._where(row)}: {key}: {first['msg']}; it was kept by another version, "
                "make the plan again"
            ) from fault

    def _inputs(self, row: Row[Any]) -> dict[str, Any]:
        inputs: dict[str, Any] = json.loads(self._text(row, row.inputs))
        return inputs

    def _row(self, asked: Select[Any]) -> Row[Any] | None:
        with self._database.read() as connection:
            return connection.execute(asked).first()

    def _text(self, row: Row[Any], squeezed: bytes) -> bytes:
        try:
            return zlib.decompress(squeezed)
        except zlib.error as fault:
            raise StorageError(
                f"{self._where(row)}: damaged ({fault}); put back a copy of the database"
            ) from fault

    def _where(self, row: Row[Any]) -> str:
        return f"{self._database.place}: plan of {row.local_date} made {row.made_utc}"


def _last_made(kind: str) -> Select[Any]:
    newest_first = (plans.c.made_utc.desc(), plans.c.id.desc())
    return select(plans).where(plans.c.kind == kind).order_by(*newest_first).limit(1)


#: The list of fields in the text of a report that has none.
_NO_FIELDS = '"fields":[]'


def _report_texts(report: MorningReport, where: str) -> Iterator[str]:
    """The text of a report in pieces: that of a big farm is never there whole."""
    bare = _as_text(report.model_copy(update={"fields": ()}).model_dump(mode="json"), where)
    before, _, after = bare.partition(_NO_FIELDS)
    yield before + _NO_FIELDS[:-1]
    for place, one in enumerate(report.fields):
        yield ("," if place else "") + _as_text(one.model_dump(mode="json"), where)
    yield _NO_FIELDS[-1] + after


def _as_text(values: dict[str, Any], where: str) -> str:
    try:
        return json.dumps(values, sort_keys=True, separators=(",", ":"), allow_nan=False)
    except (TypeError, ValueError) as fault:
        raise StorageError(f"{where}: not kept, because it is not plain JSON: {fault}") from fault


def _squeezed(texts: Iterable[str]) -> bytes:
    packer = zlib.compressobj()
    return b"".join([*(packer.compress(one.encode()) for one in texts), packer.flush()])
