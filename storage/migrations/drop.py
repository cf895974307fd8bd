"""Tables dropped on the way back to an older version, where nothing is lost by it."""

import sqlalchemy as sa
from alembic import op

from storage.errors import StorageError


def drop_empty(*names: str, version: str) -> None:
    """Drop tables that hold nothing.

    Raises
    ------
    StorageError
        Some hold rows, which ``version`` has no place for; each is named, and none is dropped.
    """
    connection = op.get_bind()
    rows = {
        name: connection.execute(
            sa.select(sa.func.count()).select_from(sa.table(name))
        ).scalar_one()
        for name in names
    }
    full = [f"{name} ({count})" for name, count in rows.items() if count]
    if full:
        raise StorageError(
            f"tables of version {version} have no place for what is kept in {', '.join(full)}; "
            "nothing was changed, keep the newer version, or put back a backup from before it"
        )
    for name in reversed(names):
        op.drop_table(name)
