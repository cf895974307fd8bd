"""A PostgreSQL server that several machines share: its rules, its refusals, its failures."""

import threading
from contextlib import ExitStack, closing

import pytest
from pydantic import SecretStr
from sqlalchemy import event, text
from sqlalchemy.engine import make_url

from storage import schema, transactions
from storage.database import open_database
from storage.errors import StorageError
from storage.stores import open_stores
from tests.storage.real_server import plain_engine

SECRET = "kqzx-77-hush"


@pytest.fixture
def shared(server) -> str:
    return server.emptied_farm()


@pytest.fixture
def no_password_no_entry(server) -> str:
    """The address of a database whose user must bring a password."""
    rules = server.data / "pg_hba.conf"
    kept = rules.read_text()
    address = server.new_database()
    name = _name(address)
    user = f"gin_{name}"
    server.do(
        f"CREATE ROLE {user} LOGIN PASSWORD '{SECRET}'", f"ALTER DATABASE {name} OWNER TO {user}"
    )
    rules.write_text(f"local all {user} scram-sha-256\n" + kept)
    server.do("SELECT pg_reload_conf()")
    yield server.address(name, user=user)
    rules.write_text(kept)
    server.do("SELECT pg_reload_conf()")


def _name(address: str) -> str:
    return str(make_url(address).database)


def _settings(connection, *names: str) -> tuple[str, ...]:
    return tuple(connection.execute(text(f"SHOW {name}")).scalar_one() for name in names)


@pytest.mark.fault("D06", "D16")
def test_every_pooled_connection_keeps_our_rules_whatever_the_servers_are(server):
    address = server.new_database()
    for rule in (
        "synchronous_commit = off",
        "default_transaction_isolation = 'serializable'",
        "timezone = 'Asia/Tashkent'",
        "lock_timeout = 0",
    ):
        server.do(f"ALTER DATABASE {_name(address)} SET {rule}")
    names = ("synchronous_commit", "lock_timeout", "timezone", "transaction_isolation")
    with closing(open_database(address)) as opened, ExitStack() as held:
        readers = [held.enter_context(opened.read()) for _ in range(12)]
        assert [_settings(one, *names) for one in readers] == [
            ("on", "10s", "UTC", "repeatable read")
        ] * 12
        with opened.write() as writer:
            assert _settings(writer, *names) == ("on", "10s", "UTC", "read committed")


def test_the_right_password_opens_and_is_shown_nowhere(no_password_no_entry):
    with closing(open_database(no_password_no_entry, ".", SecretStr(SECRET))) as opened:
        assert SECRET not in opened.place + repr(opened.engine.url)
        with opened.read() as connection:
            assert schema.version(connection) == schema.NEWEST


@pytest.mark.parametrize("told", [None, SecretStr(f"{SECRET}x")])
def test_a_wrong_or_missing_password_is_refused_in_plain_words(no_password_no_entry, told):
    with pytest.raises(StorageError) as refused:
        open_database(no_password_no_entry, ".", told)

    assert "user or password; check both" in str(refused.value)
    assert SECRET not in str(refused.value)
    assert "\n" not in str(refused.value)


def test_the_variable_of_the_servers_own_clients_is_enough(no_password_no_entry, monkeypatch):
    monkeypatch.setenv("PGPASSWORD", SECRET)
    open_database(no_password_no_entry).close()


def test_a_database_that_is_not_there_is_not_made(server):
    with pytest.raises(StorageError, match="no such database; make it with createdb"):
        open_database(server.address("nowhere"))


def test_a_user_who_may_make_no_tables_is_told_so(server):
    server.do("DROP ROLE IF EXISTS guest", "CREATE ROLE guest LOGIN")
    name = _name(server.new_database())
    with pytest.raises(StorageError, match="this user may not do that; make it the owner"):
        open_database(server.address(name, user="guest"))


@pytest.mark.fault("D12")
def test_tables_of_a_newer_version_are_refused_and_left(shared, behind_shared):
    behind_shared("UPDATE warmspell_schema SET version_num = '9001'")
    with pytest.raises(StorageError, match="got tables of version 9001, wanted"):
        open_database(shared)
    with plain_engine(shared).begin() as connection:
        kept = connection.execute(text("SELECT version_num FROM warmspell_schema")).scalar_one()
    behind_shared(f"UPDATE warmspell_schema SET version_num = '{schema.NEWEST}'")
    assert kept == "9001"


@pytest.fixture
def behind_shared(shared):
    def change(statement: str) -> None:
        with plain_engine(shared).begin() as connection:
            connection.execute(text(statement))

    return change


@pytest.mark.fault("D10")
def test_a_database_of_another_program_is_refused_and_left(server):
    address = server.new_database()
    with plain_engine(address).begin() as connection:
        connection.execute(text("CREATE TABLE visits (patient text)"))
    with pytest.raises(StorageError, match="holds a table visits of another program"):
        open_database(address)
    with plain_engine(address).begin() as connection:
        asked = "SELECT string_agg(relname, ',') FROM pg_stat_user_tables"
        assert connection.execute(text(asked)).scalar_one() == "visits"


def test_two_programs_that_open_a_new_database_at_once_make_its_tables_once(server):
    address, faults = server.new_database(), []
    both = threading.Barrier(2)

    def open_it() -> None:
        both.wait()
        try:
            open_database(address).close()
        except Exception as fault:
            faults.append(fault)

    threads = [threading.Thread(target=open_it) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert faults == []
    with open_stores(address, ".") as stores:
        assert stores.visits.all() == ()


@pytest.mark.fault("D15")
def test_a_server_that_takes_no_changes_says_so(shared, now):
    with open_stores(shared, ".") as stores:
        event.listen(stores.database.engine, "connect", _read_only)
        stores.database.engine.dispose()
        with pytest.raises(StorageError, match=r"takes no changes now.*nothing was saved"):
            stores.visits.reject([("no field", "x")], now)


def _read_only(connection, _record) -> None:
    connection.execute("SET default_transaction_read_only = on")
    connection.commit()


def _end_others(server) -> None:
    server.do(
        "SELECT pg_terminate_backend(pid, 5000) FROM pg_stat_activity "
        "WHERE application_name = 'warmspell'"
    )


def test_a_connection_lost_before_the_commit_saves_nothing_and_the_next_try_works(
    server, shared, now, a_visit
):
    def cut_off() -> None:
        with stores.database.write():
            stores.visits.add([a_visit()], now)
            _end_others(server)
            stores.visits.add([a_visit()], now)

    with open_stores(shared, ".") as stores:
        with pytest.raises(StorageError, match="try again; nothing was saved") as lost:
            cut_off()
        assert lost.value.busy
        assert stores.visits.all() == ()
        assert stores.visits.add([a_visit()], now) == 1


def test_a_connection_lost_during_the_commit_is_never_called_nothing_was_saved(
    server, shared, now, a_visit
):
    visit = a_visit()

    cuts = ["once"]

    def cut_off(_connection) -> None:
        if cuts:
            cuts.pop()
            _end_others(server)

    with open_stores(shared, ".") as stores:
        event.listen(stores.database._writer, "commit", cut_off)
        with pytest.raises(StorageError, match="whether it was is not known") as doubtful:
            stores.visits.add([visit], now)
        assert "nothing was saved" not in str(doubtful.value)
        # The same record again is kept once, whichever it was.
        stores.visits.add([visit], now)
        assert stores.visits.all() == (visit,)


def test_connections_that_went_away_over_night_are_made_anew(server, shared, a_visit, now):
    with open_stores(shared, ".") as stores:
        stores.visits.add([a_visit()], now)
        _end_others(server)
        assert len(stores.visits.all()) == 1
        assert stores.visits.add([a_visit()], now) == 1


@pytest.mark.parametrize(
    ("state", "words", "busy"),
    [
        pytest.param("53100", "disk of the database server is full; make room", False, id="full"),
        pytest.param("53300", "no connection left", True, id="too many connections"),
        pytest.param("40P01", "changed the same at once, try again", True, id="deadlock"),
        pytest.param("57P01", "stopping or starting, try again", True, id="shutdown"),
        pytest.param("XX001", "its data is damaged; put back a backup", False, id="damaged"),
    ],
)
def test_what_the_server_says_is_put_in_plain_words(shared, state, words, busy):
    # As the server itself would send it: PostgreSQL manual, appendix A.
    fault = f"DO $$ BEGIN RAISE EXCEPTION 'kqzx-77-hush' USING ERRCODE = '{state}'; END $$"

    def fail() -> None:
        with opened.write() as connection:
            connection.execute(text(fault))

    with closing(open_database(shared)) as opened, pytest.raises(StorageError, match=words) as told:
        fail()
    assert "nothing was saved" in str(told.value)
    assert SECRET not in str(told.value)
    assert told.value.busy is busy


def test_a_driver_that_is_not_installed_is_named_with_what_to_run(monkeypatch):
    monkeypatch.setitem(__import__("sys").modules, "psycopg", None)
    with pytest.raises(StorageError, match=r"pip install 'warmspell\[postgres\]'"):
        open_database("postgresql://gin@127.0.0.1:1/farm")


def test_a_password_in_the_query_of_an_address_is_not_shown():
    with pytest.raises(StorageError) as refused:
        open_database(f"postgresql://gin@127.0.0.1:1/farm?password={SECRET}&connect_timeout=2")
    assert "127.0.0.1" in str(refused.value)
    assert SECRET not in str(refused.value)


def test_writers_of_two_machines_wait_for_each_other(shared, now, monkeypatch):
    monkeypatch.setattr(transactions, "BUSY_TIMEOUT_S", 0.2)
    with open_stores(shared, ".") as one, open_stores(shared, ".") as other:
        with one.database.write(), pytest.raises(StorageError, match="try again"):
            other.visits.reject([("no field", "x")], now)
        other.visits.reject([("no field", "x")], now)
        assert len(one.visits.rejected()) == 1
