"""Everything particular to a PostgreSQL server that several machines share."""

import re

from pydantic import SecretStr
from sqlalchemy import URL, Connection, Engine, create_engine, event
from sqlalchemy.engine.interfaces import DBAPIConnection
from sqlalchemy.exc import SQLAlchemyError, StatementError

from storage import transactions
from storage.errors import StorageError

#: Driver our addresses name.
DRIVER = "postgresql+psycopg"

#: Name of the lock that a writer holds until it commits: "warmsp" as a number.
WRITERS_LOCK = 0x7761726D7370

#: What an address may hold that must not be shown.
_HIDDEN = ("password", "passfile", "sslpassword", "sslkey", "oauth_client_secret")

#: A server that went silent is noticed within these [s]; the system's own rule is two hours.
_KEEP_ALIVE = {
    "connect_timeout": 10,
    "keepalives_idle": 30,
    "keepalives_interval": 10,
    "keepalives_count": 3,
    "tcp_user_timeout": 30_000,
    "application_name": "warmspell",
}

#: By SQLSTATE or its class (PostgreSQL manual, appendix A): the cause, and whether trying again
#: may help.
_CAUSES = {
    "55P03": ("another program has been writing for {wait:g} s, try again", True),
    "40001": ("another program changed the same at once, try again", True),
    "40P01": ("another program changed the same at once, try again", True),
    "53100": ("the disk of the database server is full; make room", False),
    "53300": ("the server has no connection left; close some, or raise max_connections", True),
    "25006": ("the server takes no changes now: it is a copy, or set to be read only", False),
    "28": ("the server refuses this user or password; check both", False),
    "3D000": ("there is no such database; make it with createdb", False),
    "42501": ("this user may not do that; make it the owner of the database", False),
    "57P": ("the server is stopping or starting, try again", True),
    "XX001": ("the server says that its data is damaged; put back a backup", False),
    "XX002": ("the server says that its data is damaged; put back a backup", False),
}

#: What a server that lets nobody in says, which comes without its SQLSTATE, and which that is.
_AT_THE_DOOR = (
    ("no password supplied|authentication failed|no pg_hba.conf entry", "28"),
    ("database .* does not exist", "3D000"),
    ("too many clients|remaining connection slots|too many connections", "53300"),
    ("is starting up|is shutting down|not yet accepting|recovery mode", "57P"),
)


def engine(url: URL, password: SecretStr | None) -> Engine:
    """An engine whose every commit is on the server's disk before it is acknowledged.

    Raises
    ------
    StorageError
        The driver is not installed.
    """
    if password is not None:
        url = url.set(password=password.get_secret_value())
    try:
        made = create_engine(
            url,
            hide_parameters=True,
            pool_pre_ping=True,
            pool_size=8,
            max_overflow=24,
            connect_args={key: one for key, one in _KEEP_ALIVE.items() if key not in url.query},
        )
    except ImportError as fault:
        raise StorageError(
            f"{place_of(url)}: the driver is not installed; run: pip install 'warmspell[postgres]'"
        ) from fault
    event.listen(made, "connect", _prepare)
    event.listen(made, "begin", _begin)
    return made


def place_of(url: URL) -> str:
    """The address as it may be shown."""
    return url.difference_update_query(_HIDDEN).render_as_string(hide_password=True)


def explain(fault: SQLAlchemyError) -> tuple[str, bool]:
    """Cause in plain words, and whether trying again may help."""
    origin = fault.orig if isinstance(fault, StatementError) else None
    told = getattr(getattr(origin, "diag", None), "message_primary", None)
    # The lines after the first hold values.
    line = (str(told or origin or fault).splitlines() or [""])[0]
    state = getattr(origin, "sqlstate", None) or _state_at_the_door(line)
    for length in (5, 3, 2):
        if state[:length] in _CAUSES:
            words, busy = _CAUSES[state[:length]]
            return words.format(wait=transactions.BUSY_TIMEOUT_S), busy
    words = re.sub(r"password=\S+", "password=***", line)
    if "connection" in words and not state:
        return f"the server cannot be reached ({words}); check its address, and that it runs", False
    return words, False


def _state_at_the_door(line: str) -> str:
    return next((state for words, state in _AT_THE_DOOR if re.search(words, line)), "")


def _prepare(connection: DBAPIConnection, _record: object) -> None:
    cursor = connection.cursor()
    # Whatever the server's own settings are.
    for name, value in (
        ("synchronous_commit", "on"),
        ("lock_timeout", f"{transactions.BUSY_TIMEOUT_S:g}s"),
        ("TimeZone", "UTC"),
    ):
        cursor.execute("SELECT set_config(%s, %s, false)", (name, value))
    cursor.close()
    connection.commit()


def _begin(connection: Connection) -> None:
    # Writers queue, as in the embedded database: what one has looked up stays true until it has
    # written, and numbers of rows rise in the order of commits. The lock must come before the
    # first look, so each statement sees what was committed before it.
    if connection.get_execution_options().get("warmspell_writes", False):
        connection.exec_driver_sql("SET TRANSACTION ISOLATION LEVEL READ COMMITTED")
        connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({WRITERS_LOCK})")
    else:
        connection.exec_driver_sql("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
