"""The commands that keep, put back and look at a database, on a server that asks for a password."""

from pathlib import Path

import pytest

from tests.storage.real_server import the_server


@pytest.fixture
def shared(farm, monkeypatch) -> Path:
    """The starter farm on a new database of a real server, the password in the environment."""
    address = the_server().new_database().replace(":@", "@", 1)
    text = farm.read_text("utf-8")
    keys = f'database = "{address}"\ndatabase_password_env = "FARM_DB"'
    farm.write_text(text.replace('database = "warmspell.sqlite3"', keys, 1), "utf-8")
    monkeypatch.setenv("FARM_DB", "canary-77")
    return farm


def test_a_shared_farm_is_looked_at_kept_and_put_back(shared, warmspell, tmp_path):
    farm = shared
    told = warmspell("doctor", "--config", farm, "--offline")
    # Nobody has made its tables yet, and a look makes none.
    assert told.code == 0
    assert "there is no database yet" in told.out

    assert warmspell("people", "list", "--config", farm).code == 0
    assert warmspell("doctor", "--config", farm, "--offline").code == 0
    kept = warmspell("backup", tmp_path / "kept.zip", "--config", farm, "--drill")
    assert kept.code == 0
    put = warmspell("restore", tmp_path / "kept.zip", "--config", farm, "--replace")
    assert put.code == 0
    for one in (told, kept, put):
        assert "canary" not in one.out + one.err
