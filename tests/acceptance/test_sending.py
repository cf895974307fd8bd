"""A morning to a real mail server and a real gateway, once each, and what happens when it fails."""

from pathlib import Path

import pytest

from scheduler.commands import run as warmspell
from tests.acceptance.postbox import Postbox, open_postbox


@pytest.fixture
def postbox():
    with open_postbox() as box:
        yield box


def reachable(farm: Path, box: Postbox) -> Path:
    """The farm with its channels set to the loopback servers."""
    config = farm / "farm.toml"
    config.write_text(
        config.read_text()
        + f"""
[mail]
host = "127.0.0.1"
port = {box.mail_port}
security = "plain"
sender = "digest@kettledraw.example.org"

[sms]
url = "{box.sms_url}"
consent_needed = false
"""
    )
    return config


def send(config: Path, *more: str) -> int:
    return warmspell(["morning", "--config", str(config), *more])


def test_everybody_gets_one_digest_and_the_second_morning_sends_nothing(demo, postbox, capsys):
    config = reachable(demo, postbox)

    first = send(config)
    mails, texts = len(postbox.mails), len(postbox.texts)
    second = send(config)

    assert (first, second) == (3, 3)
    assert mails == len(set(postbox.recipients)) == 4
    assert texts >= 1
    assert (len(postbox.mails), len(postbox.texts)) == (mails, texts)
    assert "sent before" in capsys.readouterr().out


def test_the_operators_mail_says_in_text_and_html_what_to_spray(demo, postbox):
    send(reachable(demo, postbox))
    (mail,) = [one for one in postbox.mails if "dell@" in one["To"]]
    text = mail.get_body(("plain",)).get_content()
    html = mail.get_body(("html",)).get_content()

    assert mail["Subject"].startswith("Tue 6 Oct: spray ")
    for words in ("NOT KNOWN", "SPRAY NEXT", "WALK TODAY", "The label is the law", "stop"):
        assert words in text
    for words in ("Not known", "Spray next", "Walk today", "The label is the law"):
        assert words.lower() in html.lower()
    assert mail["Message-ID"]
    assert mail["Auto-Submitted"] == "auto-generated"


def test_a_grower_sees_no_field_of_another(demo, postbox):
    send(reachable(demo, postbox))
    from config.load import load

    config = load(demo / "farm.toml")
    grower = next(one for one in config.settings.people if one.role == "grower")
    (mail,) = [one for one in postbox.mails if grower.email in one["To"]]
    whole = mail.get_body(("plain",)).get_content() + mail.get_body(("html",)).get_content()
    foreign = [one.name for one in config.fields if one.grower_id not in grower.grower_ids]
    own = [one.name for one in config.fields if one.grower_id in grower.grower_ids]

    assert [name for name in foreign if name in whole] == []
    assert sum(name in whole for name in own) >= 3


def test_one_refused_recipient_does_not_stop_the_others(demo, postbox, capsys):
    from config.load import load

    people = load(demo / "farm.toml").settings.people
    postbox.refuse = {people[0].email}

    code = send(reachable(demo, postbox))

    assert code == 4
    assert len(postbox.recipients) == 3
    assert people[0].email not in capsys.readouterr().err


def test_a_dead_mail_server_keeps_the_digest_for_the_next_try(demo, postbox):
    config = reachable(demo, postbox)
    text = config.read_text()
    config.write_text(text.replace(f"port = {postbox.mail_port}", "port = 9"))

    dead = send(config)
    config.write_text(text)
    alive = send(config, "--at", "2026-10-06T06:40")

    assert dead == 4
    assert alive == 3
    assert len(set(postbox.recipients)) == len(postbox.mails) == 4


def test_a_cell_without_an_answer_leaves_its_fields_unknown(demo, postbox, morning):
    reachable(demo, postbox)
    for path in (demo / "answers").glob("gridpoints_*.json"):
        if (
            path.stat().st_size
            and path.name == sorted(p.name for p in path.parent.glob("gridpoints_*"))[0]
        ):
            path.unlink()
    (demo / "warmspell.sqlite3").unlink()

    code, told = morning(demo)

    assert code == 3
    assert len(postbox.mails) == 4
    assert told["run"]["counts"]["unknown"] > 4


def test_no_forecast_at_all_still_sends_a_digest_that_says_so(demo, postbox, morning):
    reachable(demo, postbox)
    for path in (demo / "answers").glob("*.json"):
        path.unlink()
    (demo / "warmspell.sqlite3").unlink()

    code, told = morning(demo)

    assert code == 69
    assert told["run"]["counts"]["unknown"] == told["run"]["fields"]
    assert len(postbox.mails) == 4
    assert all("spray 0" not in one["Subject"] for one in postbox.mails)
    assert all("not known" in one["Subject"] for one in postbox.mails)


def test_a_feed_that_dies_later_is_ridden_on_the_last_good_answer(demo, postbox, morning):
    """The demo's first morning kept its answers; six hours later the feed is gone."""
    reachable(demo, postbox)
    for path in (demo / "answers").glob("*.json"):
        path.unlink()

    code, told = morning(demo, "--at", "2026-10-06T08:00")

    ages = [one["forecast"]["age_h"] for one in told["fields"] if one["forecast"]["age_h"]]
    assert code == 3
    assert told["run"]["counts"]["spray"] > 0
    assert min(ages) == pytest.approx(5.3, abs=0.2)
