"""From the mail to the record: every link of a real morning opened, pressed, and pressed again."""

import hashlib
import json
import re
import time
from datetime import timedelta

import pytest
from pydantic import SecretStr

from notify.link_actions import LinkDesk
from notify.link_lines import LinkMaker
from notify.text_answers import TextAnswers
from scheduler.commands import run as warmspell
from scheduler.link_maker import link_maker
from scheduler.opening import OpenFarm, open_farm
from storage.delivery_counts import standings
from tests.acceptance.postbox import open_postbox
from tests.acceptance.test_sending import reachable, send

URL = re.compile(r"https://board\.example\.com/do/([a-z-]+)/([\w.-]+)")
KEY = "acceptance-key-" * 4


@pytest.fixture
def sent(demo, monkeypatch):
    """The demo's morning with links, sent: (its config, its postbox)."""
    monkeypatch.setenv("WARMSPELL_LINK_KEY", KEY)
    with open_postbox() as box:
        config = reachable(demo, box)
        config.write_text(
            config.read_text() + '\n[links]\nbase_url = "https://board.example.com"\n'
        )
        assert send(config) == 3
        yield config, box


def desk_of(farm: OpenFarm) -> LinkDesk:
    maker = link_maker(farm.config)
    assert isinstance(maker, LinkMaker)
    return LinkDesk(
        keys=maker.keys,
        people=farm.config.settings.people,
        fields=farm.fields_by_id,
        treatments=farm.config.settings.treatments,
        sprays=farm.stores.sprays,
        looks=farm.stores.look_requests,
        consents=farm.stores.consents,
    )


def links_of(mail) -> list[tuple[str, str]]:
    return list(dict.fromkeys(URL.findall(mail.get_body(("plain",)).get_content())))


def rows_of(farm: OpenFarm) -> str:
    """A digest of everything kept."""
    with farm.stores.database.read() as connection:
        dump = "\n".join(connection.connection.driver_connection.iterdump())
    return hashlib.sha256(dump.encode()).hexdigest()


def test_every_link_of_every_mail_opened_twice_changes_nothing(sent):
    config, box = sent
    with open_farm(config) as farm:
        desk, before = desk_of(farm), rows_of(farm)
        links = [one for mail in box.mails for one in links_of(mail)]
        assert len(links) > 20
        for _ in range(2):
            pages = [desk.show(purpose, token, farm.now) for purpose, token in links]
            assert {page.status for page in pages} == {200}
        assert rows_of(farm) == before


def test_every_link_leads_to_a_field_its_reader_may_see(sent):
    config, box = sent
    with open_farm(config) as farm:
        people = {one.email: one for one in farm.config.settings.people}
        keys = desk_of(farm).keys
        for mail in box.mails:
            reader = next(one for mail_address, one in people.items() if mail_address in mail["To"])
            for purpose, token in links_of(mail):
                link = keys.read(token, purpose, farm.now)
                assert link.person_id == reader.id
                if reader.role == "grower" and link.field_id:
                    assert farm.fields_by_id[link.field_id].grower_id in reader.grower_ids


def test_pressing_sprayed_takes_the_field_out_of_the_next_order(sent, morning):
    config, box = sent
    mail = next(one for one in box.mails if "dell" in one["To"])
    with open_farm(config) as farm:
        purpose, token = next(one for one in links_of(mail) if one[0] == "sprayed")
        field_id = desk_of(farm).keys.read(token, purpose, farm.now).field_id
        later = farm.now + timedelta(minutes=30)
        pages = [desk_of(farm).act(purpose, token, later) for _ in range(3)]
        assert len(farm.stores.sprays.of_field(field_id)) == 1
    assert [page.status for page in pages] == [200] * 3
    assert [page.lines[0].split(":")[0] for page in pages] == [
        "Written down",
        *["It is written down already"] * 2,
    ]

    _, told = morning(config.parent, "--at", "2026-10-06T07:00")
    calls = {one["field_id"]: one for one in told["fields"]}
    assert calls[field_id]["rank"] is None
    assert calls[field_id]["follow_up"] is not None


def test_a_look_asked_for_stands_in_the_list_of_visits_until_it_is_made(sent, capsys):
    config, box = sent
    mail = next(one for one in box.mails if "dell" in one["To"])
    with open_farm(config) as farm:
        purpose, token = next(one for one in links_of(mail) if one[0] == "look-again")
        field_id = desk_of(farm).keys.read(token, purpose, farm.now).field_id
        desk_of(farm).act(purpose, token, farm.now)
        person = desk_of(farm).keys.read(token, purpose, farm.now).person_id

    def asked() -> list[dict[str, str]]:
        capsys.readouterr()
        warmspell(["scout", "due", "--json", "--config", str(config)])
        return json.loads(capsys.readouterr().out)["asked"]

    (one,) = asked()
    assert (one["field_id"], one["person_id"]) == (field_id, person)
    warmspell(["scout", "due", "--config", str(config)])
    assert "Asked to be looked at again" in capsys.readouterr().out

    order = ["scout", "add", field_id, "--nacb", "3", "--plants", "12", "--config", str(config)]
    assert warmspell(order) == 0
    assert asked() == []


def test_one_click_ends_the_mails_of_one_reader_from_the_next_morning_on(sent):
    config, box = sent
    mail = next(one for one in box.mails if "june" in one["To"])
    ((purpose, token),) = URL.findall(mail["List-Unsubscribe"])
    assert mail["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
    with open_farm(config) as farm:
        assert desk_of(farm).act(purpose, token, farm.now).status == 200
    box.mails.clear()
    box.recipients.clear()

    send(config, "--at", "2026-10-07T06:00")

    assert len(box.recipients) == 3
    assert not any("june" in one for one in box.recipients)


@pytest.mark.fault("T07", "M14")
def test_a_stop_by_text_holds_for_what_waits_while_others_are_being_sent(demo):
    """Fault list, T07 and M14: all but the first reader say stop while the first text goes out."""
    took_s: list[float] = []

    with open_postbox() as box:
        config = reachable(demo, box)

        class FirstOne(list[dict[str, str]]):
            def append(self, text: dict[str, str]) -> None:
                super().append(text)
                if len(self) == 1:
                    stop_all_but(text["to"])

        def stop_all_but(first: str) -> None:
            with open_farm(config) as farm:
                settings = farm.config.settings
                answers = TextAnswers(
                    settings.sms, settings.people, settings.farm.name, "Pat", farm.stores.consents
                )
                for phone in {one.phone for one in settings.people if one.phone} - {first}:
                    began = time.perf_counter()
                    told = {"from": phone, "text": "Stop!"}
                    assert answers.take(told, "agreed", SecretStr("agreed"), farm.now).reply
                    took_s.append(time.perf_counter() - began)

        box.texts = FirstOne()
        send(config)
        with open_farm(config) as farm:
            rows = standings(farm.stores.database, farm.today)

    assert (len(box.texts), len(box.mails), len(took_s)) == (1, 4, 2)
    assert sorted(state for _, channel, _, state in rows if channel == "sms") == [
        *("sent", "suppressed", "suppressed")
    ]
    assert max(took_s) < 1.0


def test_without_the_key_the_mails_are_as_they_always_were(demo, monkeypatch):
    monkeypatch.delenv("WARMSPELL_LINK_KEY", raising=False)
    with open_postbox() as box:
        config = reachable(demo, box)
        config.write_text(
            config.read_text() + '\n[links]\nbase_url = "https://board.example.com"\n'
        )
        send(config)
    assert [links_of(mail) for mail in box.mails] == [[]] * 4
    assert all(mail["List-Unsubscribe-Post"] is None for mail in box.mails)
