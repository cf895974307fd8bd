"""Answers to text messages: STOP stops at once and once, and only who may can say it."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from pydantic import SecretStr

from farm.consent import Consent, address_key
from farm.people import Person, Role
from notify.gsm7 import gsm7, segments
from notify.settings import SmsSettings
from notify.text_answers import Answered, TextAnswers

NOW = datetime(2026, 10, 6, 14, tzinfo=UTC)
PHONE, OTHER = "+12025550142", "+12025550143"
SECRET = SecretStr("gate-word-9")


class Book:
    """Words in the order they were added, each once."""

    def __init__(self) -> None:
        self.kept: list[Consent] = []
        self.suppressed: list[str] = []

    def standing(self, channel: str, address: str) -> Consent | None:
        key = address_key(channel, address)
        told = [one for one in self.kept if (one.channel, one.address_key) == (channel, key)]
        return told[-1] if told else None

    def add(self, consent: Consent, person_ids: Any = ()) -> bool:
        if consent.uuid in {one.uuid for one in self.kept}:
            return False
        self.kept.append(consent)
        self.suppressed += list(person_ids) if consent.word == "stop" else []
        return True


def person(name: str, phone: str | None) -> Person:
    return Person(id=name, name=name, role=Role.OPERATOR, phone=phone, email="x@example.com")


@pytest.fixture
def book() -> Book:
    return Book()


@pytest.fixture
def answers(book: Book) -> TextAnswers:
    people = (person("ana", PHONE), person("bea", "+1 202 555 0142"), person("cy", OTHER))
    settings = SmsSettings(url="https://texts.example.com/")
    return TextAnswers(settings, people, "Sändhill Co-op", "Pat, 202 555 0100", book)


def say(
    answers: TextAnswers, text: str, sender: str = PHONE, name: str = "", at: datetime = NOW
) -> Answered:
    told = {"from": sender, "text": text} | ({"id": name} if name else {})
    return answers.take(told, "gate-word-9", SECRET, at)


@pytest.mark.fault("T08")
def test_stop_is_kept_for_the_number_and_for_everybody_who_shares_it(
    answers: TextAnswers, book: Book
) -> None:
    told = say(answers, "Stop.")

    assert told.status == 200
    assert "no more texts" in told.reply
    assert [(one.word, one.address_masked, one.how) for one in book.kept] == [
        ("stop", "***0142", "answered a text message")
    ]
    assert book.suppressed == ["ana", "bea"]
    assert "5550142" not in told.note


@pytest.mark.fault("T07")
def test_a_stop_is_confirmed_once_and_no_more(answers: TextAnswers) -> None:
    replies = [
        say(answers, "STOP", at=NOW + timedelta(minutes=minute)).reply for minute in range(4)
    ]
    assert [bool(one) for one in replies] == [True, False, False, False]


@pytest.mark.fault("T08")
def test_start_after_stop_brings_the_texts_back_and_stop_ends_them_again(
    answers: TextAnswers, book: Book
) -> None:
    say(answers, "stop", name="1")
    again = say(answers, "START", name="2")
    assert "again" in again.reply
    assert book.standing("sms", PHONE).word == "allow"  # type: ignore[union-attr]

    say(answers, "quit", name="3")
    assert book.standing("sms", PHONE).word == "stop"  # type: ignore[union-attr]


def test_an_answer_delivered_again_after_a_newer_one_changes_nothing(
    answers: TextAnswers, book: Book
) -> None:
    say(answers, "stop", name="m-1")
    say(answers, "start", name="m-2")
    told = say(answers, "stop", name="m-1")

    assert book.standing("sms", PHONE).word == "allow"  # type: ignore[union-attr]
    assert (told.status, told.reply) == (200, "")


@pytest.mark.parametrize("given", [None, "", "gate-word-8", "gate-word-9 ", "GATE-WORD-9"])
def test_a_request_without_the_agreed_secret_is_refused(
    answers: TextAnswers, book: Book, given: str | None
) -> None:
    told = answers.take({"from": PHONE, "text": "STOP"}, given, SECRET, NOW)

    assert (told.status, book.kept) == (403, [])
    assert "gate-word" not in told.note


@pytest.mark.parametrize("wanted", [None, SecretStr("")])
def test_where_no_secret_was_agreed_on_every_request_is_refused(
    answers: TextAnswers, wanted: SecretStr | None
) -> None:
    assert answers.take({"from": PHONE, "text": "STOP"}, "", wanted, NOW).status == 403


@pytest.mark.parametrize("told", [{}, {"text": "STOP"}, {"from": "12", "text": "STOP"}])
def test_an_answer_without_a_number_is_refused(
    answers: TextAnswers, book: Book, told: dict[str, Any]
) -> None:
    assert answers.take(told, "gate-word-9", SECRET, NOW).status == 400
    assert book.kept == []


def test_help_names_who_we_are_and_whom_to_ask_and_changes_nothing(
    answers: TextAnswers, book: Book
) -> None:
    told = say(answers, "help")

    assert told.reply == (
        "Sandhill Co-op: spray digest. Help: Pat, 202 555 0100. Reply STOP to end texts."
    )
    assert book.kept == []


@pytest.mark.parametrize("text", ["we stop at the gin", "when do you spray?"])
def test_what_only_a_person_can_understand_is_told_to_one_without_its_words(
    answers: TextAnswers, book: Book, text: str
) -> None:
    told = say(answers, text)

    assert told.alarm
    assert text not in told.note
    assert book.kept == []


def test_a_stop_of_a_number_nobody_has_is_kept_and_not_answered(
    answers: TextAnswers, book: Book
) -> None:
    told = say(answers, "stop", sender="+12025550199")

    assert told.reply == ""
    assert book.standing("sms", "+12025550199").word == "stop"  # type: ignore[union-attr]
    assert book.suppressed == []


def test_a_stop_that_could_not_be_kept_is_not_confirmed(
    answers: TextAnswers, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> bool:
        raise OSError("disk full")

    monkeypatch.setattr(answers.ledger, "add", broken)
    with pytest.raises(OSError, match="disk full"):
        say(answers, "stop")


@pytest.mark.parametrize("text", ["stop", "start", "help", "we stop there"])
def test_every_reply_is_one_part_in_plain_letters(answers: TextAnswers, text: str) -> None:
    reply = say(answers, text).reply

    assert segments(reply) == 1
    assert gsm7(reply) == reply
