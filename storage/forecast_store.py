"""Forecasts as they were issued, and which cell a place lies in."""

from collections.abc import Collection, Iterable, Iterator, Sequence
from datetime import datetime

from sqlalchemy import Connection, Row, Select, delete, func, insert, select
from sqlalchemy.sql import ColumnElement

from agronomy.hourly_forecast import CellForecast
from farm.grid_cell import GridCell
from storage.database import Database
from storage.errors import StorageError
from storage.forecast_block import packed, unpacked
from storage.in_chunks import in_chunks
from storage.tables import forecasts, grid_cells


class ForecastStore:
    """Every issue of every cell, kept whole; the newest of a cell never steps backwards."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def grid_cell(self, latitude: float, longitude: float) -> GridCell | None:
        """The cell kept for a place, or None where none is known."""
        asked = select(grid_cells).where(grid_cells.c.place == _place(latitude, longitude))
        with self._database.read() as connection:
            row = connection.execute(asked).one_or_none()
        if row is None:
            return None
        return GridCell(id=row.cell_id, time_zone=row.time_zone, resolved_utc=row.resolved_utc)

    def keep_grid_cell(self, latitude: float, longitude: float, cell: GridCell) -> None:
        """Keep the cell of a place, in place of any kept before."""
        place = _place(latitude, longitude)
        with self._database.write() as connection:
            connection.execute(delete(grid_cells).where(grid_cells.c.place == place))
            connection.execute(
                insert(grid_cells).values(
                    place=place,
                    cell_id=cell.id,
                    time_zone=cell.time_zone,
                    resolved_utc=cell.resolved_utc,
                )
            )

    def forget_grid_cell(self, latitude: float, longitude: float) -> None:
        """Forget the cell of a place; nothing happens where none is known."""
        place = _place(latitude, longitude)
        with self._database.write() as connection:
            connection.execute(delete(grid_cells).where(grid_cells.c.place == place))

    def latest(self, cell_id: str) -> CellForecast | None:
        """The newest forecast of a cell, or None where there is none."""
        return self.latest_many([cell_id]).get(cell_id)

    def latest_many(self, cell_ids: Sequence[str]) -> dict[str, CellForecast]:
        """The newest forecast of each cell that has one.

        Raises
        ------
        StorageError
            A forecast is damaged; its cell and issue are named.
        """
        with self._database.read() as connection:
            rows = [
                row
                for some in in_chunks(cell_ids)
                for row in connection.execute(
                    select(forecasts).where(
                        forecasts.c.id.in_(_newest_ids(forecasts.c.cell_id.in_(some)))
                    )
                )
            ]
        return {row.cell_id: self._forecast(row) for row in rows}

    def keep(self, cell: CellForecast) -> bool:
        """Keep a forecast; False, and not kept, unless issued after the newest of its cell.

        One whose issue time is not known is kept only where the cell has none at all.
        """
        return self.keep_many([cell]) == 1

    def keep_many(self, cells: Iterable[CellForecast]) -> int:
        """Keep forecasts by the rule of `keep`, all in one transaction; how many were kept."""
        packed_cells = [(cell, self._block(cell)) for cell in cells]
        with self._database.write() as connection:
            newest = _newest_issues(connection, [cell.cell_id for cell, _ in packed_cells])
            rows = []
            for cell, block in packed_cells:
                if cell.cell_id in newest and not _later(cell.issued_utc, newest[cell.cell_id]):
                    continue
                newest[cell.cell_id] = cell.issued_utc
                rows.append(
                    {
                        "cell_id": cell.cell_id,
                        "issued_utc": cell.issued_utc,
                        "fetched_utc": cell.fetched_utc,
                        "block": block,
                    }
                )
            if rows:
                connection.execute(insert(forecasts), rows)
        return len(rows)

    def on(self, cell_id: str, issued_utc: datetime | None) -> CellForecast | None:
        """The forecast of a cell issued at a time, or None where it is not kept."""
        issued = forecasts.c.issued_utc
        same = issued.is_(None) if issued_utc is None else issued == issued_utc
        with self._database.read() as connection:
            row = connection.execute(
                select(forecasts).where(forecasts.c.cell_id == cell_id, same)
            ).one_or_none()
        return None if row is None else self._forecast(row)

    def issues(self, cell_id: str) -> tuple[datetime | None, ...]:
        """Issue times kept of a cell, oldest first, an unknown one before all."""
        issued = forecasts.c.issued_utc
        asked = (
            select(issued)
            .where(forecasts.c.cell_id == cell_id)
            .order_by(issued.asc().nulls_first())
        )
        with self._database.read() as connection:
            return tuple(connection.execute(asked).scalars())

    def newest_issues(self, cell_ids: Collection[str]) -> dict[str, datetime | None]:
        """When the newest forecast of each cell that has one was issued, None where unknown."""
        with self._database.read() as connection:
            return _newest_issues(connection, list(cell_ids))

    def latest_fetched_by(self, cell_id: str, moment: datetime) -> CellForecast | None:
        """The newest forecast of a cell that had been fetched by a moment, or None."""
        asked = (
            select(forecasts)
            .where(forecasts.c.cell_id == cell_id, forecasts.c.fetched_utc <= moment)
            .order_by(forecasts.c.issued_utc.desc().nulls_last())
            .limit(1)
        )
        with self._database.read() as connection:
            row = connection.execute(asked).one_or_none()
        return None if row is None else self._forecast(row)

    def history(self, cell_id: str) -> Iterator[CellForecast]:
        """Every forecast kept of a cell, in the order they were fetched.

        Raises
        ------
        StorageError
            A forecast is damaged; its cell and issue are named.
        """
        asked = (
            select(forecasts)
            .where(forecasts.c.cell_id == cell_id)
            .order_by(forecasts.c.fetched_utc, forecasts.c.id)
        )
        with self._database.read() as connection:
            rows = connection.execute(asked).all()
        for row in rows:
            yield self._forecast(row)

    def prune(self, before_utc: datetime) -> int:
        """Delete forecasts issued before a time, but never the newest of a cell; how many."""
        age = func.coalesce(forecasts.c.issued_utc, forecasts.c.fetched_utc)
        old = (age < before_utc) & forecasts.c.id.not_in(_newest_ids())
        with self._database.write() as connection:
            return connection.execute(delete(forecasts).where(old)).rowcount

    def _block(self, cell: CellForecast) -> bytes:
        try:
            return packed(cell)
        except (ValueError, KeyError) as fault:
            raise StorageError(f"forecast of cell {cell.cell_id} not kept: {fault}") from fault

    def _forecast(self, row: Row[tuple[object, ...]]) -> CellForecast:
        where = f"{self._database.place}: forecast of cell {row.cell_id} issued {row.issued_utc}"
        try:
            cell = unpacked(row.block)
        except (ValueError, KeyError, TypeError) as fault:
            raise StorageError(f"{where}: {fault}; ask for the forecast again") from fault
        if (cell.cell_id, cell.issued_utc) != (row.cell_id, row.issued_utc):
            raise StorageError(
                f"{where}: holds the forecast of cell {cell.cell_id} issued {cell.issued_utc}; "
                "the row was altered or damaged, ask for the forecast again"
            )
        return cell


def _newest_ids(*among: ColumnElement[bool]) -> Select[tuple[int]]:
    place = func.row_number().over(
        partition_by=forecasts.c.cell_id, order_by=forecasts.c.issued_utc.desc().nulls_last()
    )
    ranked = select(forecasts.c.id, place.label("place")).where(*among).subquery()
    return select(ranked.c.id).where(ranked.c.place == 1)


def _newest_issues(connection: Connection, cell_ids: Sequence[str]) -> dict[str, datetime | None]:
    newest: dict[str, datetime | None] = {}
    for some in in_chunks(cell_ids):
        asked = (
            select(forecasts.c.cell_id, func.max(forecasts.c.issued_utc).label("issued_utc"))
            .where(forecasts.c.cell_id.in_(some))
            .group_by(forecasts.c.cell_id)
        )
        newest.update((row.cell_id, row.issued_utc) for row in connection.execute(asked))
    return newest


def _later(issued_utc: datetime | None, than_utc: datetime | None) -> bool:
    if issued_utc is None:
        return False
    return than_utc is None or issued_utc > than_utc


def _place(latitude: float, longitude: float) -> str:
    # Four decimals are ten yards, and the most the public weather service takes.
    return f"{round(latitude, 4) + 0.0:.4f},{round(longitude, 4) + 0.0:.4f}"
