"""Accounts of a shared board by the command line."""

import shutil

import pytest


@pytest.mark.parametrize("command", [("password", "dana"), ("add", "dana", "--role", "scout")])
def test_a_short_password_is_refused_in_a_line_and_nothing_is_kept(
    warmspell, demo_once, tmp_path, monkeypatch, command
):
    shutil.copytree(demo_once, tmp_path / "demo")
    farm = tmp_path / "demo" / "farm.toml"
    # Twelve letters at least, as web/passwords.py says after ASVS 6.2.1.
    monkeypatch.setattr("scheduler.commands.board_accounts._asked", lambda farm: "short")
    told = warmspell("board", *command, "--config", farm)
    assert told.code == 65
    assert told.err.startswith("account: password: got 5 letters, wanted 12 to 128")
    assert "dana" not in warmspell("board", "list", "--config", farm).out
