"""``warmspell people``: a stop told by phone holds from that moment, on paper and at sending."""

import json
from dataclasses import replace

import pytest

from scheduler.contact_rules import contact_rules
from scheduler.opening import open_farm
from storage.errors import StorageError
from tests.acceptance.postbox import open_postbox


@pytest.fixture
def gin(farm):
    """The starter farm, whose Cruz has a phone and whose Pat shares it."""
    (farm.parent / "answers").mkdir()
    text = farm.read_text().replace('source = "nws"', 'source = "folder"\npath = "answers"')
    text = text.replace('# phone = "+1 202 555 0142"', 'phone = "+1 202 555 0142"')
    text = text.replace(
        'email = "pat@example.com"', 'email = "pat@example.com"\nphone = "(202) 555-0142"'
    )
    with open_postbox() as box:
        text += (
            f'\n[mail]\nhost = "127.0.0.1"\nport = {box.mail_port}\nsecurity = "plain"\n'
            'sender = "digest@gin.example.org"\n'
            f'\n[sms]\nurl = "{box.sms_url}"\n'
        )
        farm.write_text(text)
        yield farm, box


def listed(warmspell, farm):
    told = warmspell("people", "list", "--json", "--config", farm)
    return {(one["person_id"], one["channel"]): one for one in json.loads(told.out)["people"]}


def test_a_new_farm_may_mail_everybody_and_text_nobody(warmspell, gin):
    rows = listed(warmspell, gin[0])

    assert {key: one["may_send"] for key, one in rows.items()} == {
        ("pat", "mail"): True,
        ("pat", "sms"): False,
        ("cruz", "mail"): True,
        ("cruz", "sms"): False,
        ("ada", "mail"): True,
    }


def test_a_stop_told_by_phone_is_kept_with_who_when_and_how_for_all_who_share_the_number(
    warmspell, gin
):
    farm, _ = gin
    warmspell("people", "allow", "cruz", "--by", "sms", "--how", "signed", "--config", farm)
    told = warmspell(
        *("people", "stop", "Cruz Abernathy", "--by", "sms", "--how", "told by phone"),
        *("--told-by", "Pat", "--config", farm),
    )

    assert told.code == 0
    assert told.out == "sms to cruz (***0142) stopped, and pat.\n"
    row = listed(warmspell, farm)["pat", "sms"]
    assert (row["word"], row["how"], row["told_by"]) == ("stop", "told by phone", "Pat")
    assert row["since"].startswith("2026-10-06T11:00")
    table = warmspell("people", "list", "--config", farm).out
    assert "stopped" in table
    assert "5550142" not in table


def test_a_morning_texts_only_who_agreed_and_says_who_got_none(warmspell, gin):
    farm, box = gin
    warmspell("people", "allow", "cruz", "--by", "sms", "--how", "signed", "--config", farm)
    warmspell("people", "stop", "ada", "--by", "mail", "--how", "by phone", "--config", farm)

    told = warmspell("morning", "--config", farm)

    assert [one["to"] for one in box.texts] == ["+12025550142", "+12025550142"]
    assert sorted(box.recipients) == ["cruz@example.com", "pat@example.com"]
    assert "mail to ada: the reader stopped these messages" in told.err
    assert "1 held back" in told.out


def test_without_consent_the_mails_go_and_each_text_is_told(warmspell, gin):
    farm, box = gin
    told = warmspell("morning", "--config", farm)

    assert (box.texts, len(box.mails)) == ([], 3)
    assert "sms to cruz: no consent to text messages is kept; enter it with" in told.err
    assert told.code in (0, 3, 69)


def test_a_stop_after_a_morning_that_could_not_send_keeps_its_messages_back(warmspell, gin):
    farm, box = gin
    text = farm.read_text()
    farm.write_text(text.replace(f"port = {box.mail_port}", "port = 9"))
    warmspell("morning", "--config", farm)
    farm.write_text(text)

    warmspell("people", "stop", "ada", "--by", "mail", "--how", "by phone", "--config", farm)
    warmspell("morning", "--at", "2026-10-06T06:40", "--config", farm)

    assert sorted(box.recipients) == ["cruz@example.com", "pat@example.com"]


def test_no_text_goes_out_in_the_readers_night(warmspell, gin):
    farm, box = gin
    farm.write_text(farm.read_text() + 'quiet_until = "06:30"\n')
    warmspell("people", "allow", "cruz", "--by", "sms", "--how", "signed", "--config", farm)

    told = warmspell("morning", "--config", farm)

    assert (box.texts, len(box.mails)) == ([], 3)
    assert "sms to cruz: it is 06:00 where the reader is, within the quiet hours" in told.err


def test_consent_over_a_stop_needs_the_word_again(warmspell, gin):
    farm, _ = gin
    warmspell("people", "stop", "cruz", "--by", "sms", "--how", "by phone", "--config", farm)
    order = ("people", "allow", "cruz", "--by", "sms", "--how", "asked again", "--config", farm)

    refused = warmspell(*order)
    assert refused.code == 65
    assert "cruz stopped sms on 2026-10-06 (by phone); add --again only if" in refused.err

    assert warmspell(*order, "--again").code == 0
    assert listed(warmspell, farm)["cruz", "sms"]["may_send"]


@pytest.mark.parametrize(
    ("order", "words"),
    [
        (("stop", "nobody", "--by", "sms", "--how", "x"), 'got "nobody", wanted the id or name'),
        (("stop", "ada", "--by", "sms", "--how", "x"), "ada has no phone in the config"),
        (("stop", "cruz", "--by", "sms", "--how", " "), "how: got nothing"),
        (("stop", "cruz", "--by", "sms", "--how", "x" * 201), "got 201 letters, wanted at most"),
    ],
)
def test_what_cannot_be_entered_is_told_in_a_line(warmspell, gin, order, words):
    told = warmspell("people", *order, "--config", gin[0])

    assert told.code == 65
    assert words in told.err
    assert len(told.err.splitlines()) == 1


def test_a_stop_that_could_not_be_kept_is_not_reported_as_done(warmspell, gin, monkeypatch):
    from storage.consent_store import ConsentStore

    def full(*_):
        raise StorageError("disk full; nothing was saved")

    monkeypatch.setattr(ConsentStore, "add", full)
    told = warmspell(
        *("people", "stop", "cruz", "--by", "sms", "--how", "by phone"), "--config", gin[0]
    )
    assert (told.code, told.out) == (74, "")


def test_quiet_hours_of_a_grower_are_those_of_their_own_fields(gin):
    farm, _ = gin
    with open_farm(farm) as opened:
        person = opened.config.settings.people[2].model_copy(update={"phone": "+12025550199"})
        fields = tuple(
            one.model_copy(update={"time_zone": "America/Phoenix"})
            if one.grower_id in person.grower_ids
            else one
            for one in opened.config.fields
        )
        people = (*opened.config.settings.people[:2], person)
        settings = opened.config.settings.model_copy(update={"people": people})
        config = replace(opened.config, fields=fields, settings=settings)
        rules = contact_rules(config, opened.stores.consents)
    assert rules.zones["+12025550199"] == "America/Phoenix"
    assert rules.zones["+12025550142"] == "America/Chicago"
