"""The demo's digest, byte for byte, and the README that shows it.

The known good digest is made anew on purpose, and then looked at:
``warmspell demo --out SOMEWHERE > docs/demo-digest.txt``.
"""

from pathlib import Path

import pytest

from scheduler.commands import run as warmspell

ROOT = Path(__file__).parents[2]


def test_the_demo_prints_the_known_good_digest(tmp_path, capsys):
    code = warmspell(["demo", "--out", str(tmp_path / "farm")])

    assert code == 0
    assert capsys.readouterr().out == (ROOT / "docs" / "demo-digest.txt").read_text()


def test_the_readme_shows_the_digest_and_text_message_as_they_are(demo_made_once):
    readme = (ROOT / "README.md").read_text()
    shown = readme.split("```text\n")[1].split("```")[0]
    (operator,) = demo_made_once.glob("digests/dell.sms.txt")

    assert len(shown.splitlines()) > 20
    assert (ROOT / "docs" / "demo-digest.txt").read_text().startswith(shown)
    assert f"> {operator.read_text().strip()}\n" in readme


@pytest.mark.parametrize("person", ["dell", "ivy", "wade", "june"])
def test_every_digest_carries_the_cautions_and_how_to_stop(demo_made_once, person):
    for ending in ("txt", "html"):
        words = " ".join((demo_made_once / "digests" / f"{person}.{ending}").read_text().split())

        assert "The label is the law" in words
        assert "licensed applicator decides" in words
        assert "the wind where you stand" in words
        assert "To stop these mails" in words
