"""A farm that moves from its file to a server finds everything there and decides the same."""

from pathlib import Path

from scheduler.commands import run as warmspell
from tests.storage.real_server import the_server


def _moved(farm: Path, backup: Path) -> None:
    """Move the farm to a new database of a real server, as its operator would."""
    config = farm / "farm.toml"
    assert warmspell(["backup", str(backup), "--config", str(config)]) == 0
    address = the_server().new_database().replace(":@", "@", 1)
    text = config.read_text("utf-8")
    assert '"warmspell.sqlite3"' in text
    config.write_text(text.replace('"warmspell.sqlite3"', f'"{address}"'), "utf-8")
    assert warmspell(["restore", str(backup), "--config", str(config)]) == 0
    # What stays behind must not be what is read.
    (farm / "warmspell.sqlite3").unlink()


def test_a_morning_on_a_server_is_the_same_to_the_last_digit(demo, morning, tmp_path):
    before = morning(demo, "--dry-run")
    _moved(demo, tmp_path / "moved.backup")
    after = morning(demo, "--dry-run")

    assert len(before[1]["fields"]) == 30
    assert before[1]["run"]["counts"]["spray"] > 0
    assert after == before


def test_records_and_mornings_are_kept_and_shown_on_a_server(demo, morning, tmp_path, capsys):
    _moved(demo, tmp_path / "moved.backup")
    config = ["--config", str(demo / "farm.toml")]
    added = ["scout", "add", "Creek Bottom", "--nacb", "3.1", "--open", "71", "--plants", "12"]
    assert warmspell([*added, *config]) == 0
    assert morning(demo)[0] in (0, 3)
    for words in (["rank"], ["explain", "Creek Bottom"], ["scout", "list"], ["spray", "list"]):
        capsys.readouterr()
        assert warmspell([*words, *config]) == 0
        assert capsys.readouterr().out
    assert not (demo / "warmspell.sqlite3").exists()
