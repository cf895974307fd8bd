"""What may go out: no stop, consent where it is needed, and not in the reader's night."""

from datetime import UTC, date, datetime, time
from uuid import uuid4

import pytest
from ledger import NOW, MemoryLedger, Row

from farm.consent import Consent, address_key
from farm.message import PlannedMessage
from notify.channel import DeliveryError, OutgoingMessage, Receipt
from notify.deliver import deliver
from notify.may_send import ContactRules, GuardedChannel, HeldBackError, is_quiet

PHONE, OTHER = "+12025550142", "+12025550143"


class Book:
    """The last word on each address."""

    def __init__(self, **words: str) -> None:
        self.words = {("sms", PHONE): "allow"} | {
            (name.split("_")[0], PHONE if name == "sms" else "ana@example.com"): word
            for name, word in words.items()
        }

    def standing(self, channel: str, address: str) -> Consent | None:
        word = self.words.get((channel, address))
        if word is None:
            return None
        return Consent(
            uuid=uuid4(),
            channel=channel,
            address_key=address_key(channel, address),
            address_masked="***",
            word=word,
            told_utc=NOW,
            how="test",
        )


def rules(book: Book | None = None, **more: object) -> ContactRules:
    return ContactRules(book or Book(), "America/Chicago", **more)


class Wire:
    """A channel that takes everything."""

    def __init__(self) -> None:
        self.sent: list[str] = []

    def send(self, message: OutgoingMessage) -> Receipt:
        self.sent.append(message.address)
        return Receipt("m-1")

    def close(self) -> None:
        """Nothing is open."""


def test_a_text_goes_out_by_day_to_who_agreed() -> None:
    assert rules().why_not("sms", PHONE, NOW) == ""


@pytest.mark.parametrize("channel", ["sms", "mail"])
def test_a_stop_is_a_stop_on_its_own_channel(channel: str) -> None:
    book = Book(**{channel: "stop"})
    address = {"sms": PHONE, "mail": "ana@example.com"}
    other = "mail" if channel == "sms" else "sms"

    assert "stopped these messages" in rules(book).why_not(channel, address[channel], NOW)
    assert rules(book).why_not(other, address[other], NOW) == ""


@pytest.mark.fault("T12")
def test_a_text_without_consent_is_not_sent_unless_the_farm_says_it_needs_none() -> None:
    assert "no consent" in rules().why_not("sms", OTHER, NOW)
    assert rules(consent_needed=False).why_not("sms", OTHER, NOW) == ""


def test_a_mail_needs_no_consent() -> None:
    assert rules().why_not("mail", "new@example.com", NOW) == ""


@pytest.mark.parametrize(
    ("local", "quiet"),
    [
        *(("20:59", False), ("05:00", False), ("12:00", False)),
        *(("21:00", True), ("23:59", True), ("00:00", True), ("04:59", True)),
    ],
)
def test_quiet_hours_run_over_midnight(local: str, quiet: bool) -> None:
    assert is_quiet(time.fromisoformat(local), time(21), time(5)) is quiet


def test_quiet_hours_within_a_day_and_none_at_all() -> None:
    assert is_quiet(time(13), time(12), time(14))
    assert not is_quiet(time(14), time(12), time(14))
    assert not is_quiet(time(12), time(12), time(12))


@pytest.mark.fault("T12")
def test_quiet_hours_are_those_of_the_reader_not_of_the_farm() -> None:
    """5:30 am in Chicago (UTC-5 in October) is 3:30 am in Los Angeles (UTC-7)."""
    moment = datetime(2026, 10, 6, 10, 30, tzinfo=UTC)
    west = rules(zones={PHONE: "America/Los_Angeles"})

    assert rules().why_not("sms", PHONE, moment) == ""
    assert "it is 03:30 where the reader is" in west.why_not("sms", PHONE, moment)


def test_planned_messages_are_split_and_each_held_one_is_told_without_its_address() -> None:
    def planned(person: str, channel: str, address: str) -> PlannedMessage:
        return PlannedMessage(
            person, date(2026, 10, 6), "m", 0, channel, address, "<1@x>", "s", b"b"
        )

    allowed, held = rules(Book(mail="stop")).split(
        [
            planned("ana", "sms", PHONE),
            planned("ana", "mail", "ana@example.com"),
            planned("bea", "sms", OTHER),
        ],
        NOW,
    )

    assert [(one.person_id, one.channel) for one in allowed] == [("ana", "sms")]
    assert [one.split(":")[0] for one in held] == ["mail to ana", "sms to bea"]
    assert "5550143" not in "".join(held)


@pytest.mark.fault("M14")
def test_a_stop_after_planning_is_seen_at_the_moment_of_sending() -> None:
    book, wire = Book(), Wire()
    ledger = MemoryLedger(Row(1, "ana", channel="sms"), Row(2, "bea", channel="sms"))
    book.words[("sms", OTHER)] = "allow"
    guarded = GuardedChannel("sms", wire, rules(book), lambda: NOW)
    book.words[("sms", PHONE)] = "stop"

    told = deliver(
        ledger, {"sms": guarded}, NOW, "w", {("ana", "sms"): PHONE, ("bea", "sms"): OTHER}
    )

    assert wire.sent == [OTHER]
    assert (told.sent, told.held_back, told.failed, told.pending) == (1, 1, 0, 0)
    assert ledger.rows[1].state == "suppressed"
    assert told.notes == ("sms to ana: not sent, the reader stopped these messages",)


def test_many_stops_do_not_make_a_channel_look_sick() -> None:
    people = [f"p{number}" for number in range(40)]
    ledger = MemoryLedger(
        *(Row(number, who, channel="sms") for number, who in enumerate(people, start=1))
    )
    told = deliver(
        ledger,
        {"sms": GuardedChannel("sms", Wire(), rules(), lambda: NOW)},
        NOW,
        "w",
        {(who, "sms"): PHONE if who == "p39" else OTHER for who in people},
    )

    assert (told.sent, told.held_back, told.stopped) == (1, 39, ())


def test_where_stops_cannot_be_read_nothing_goes_out_and_all_waits() -> None:
    class Broken:
        def standing(self, channel: str, address: str) -> Consent | None:
            raise OSError("disk")

    wire = Wire()
    ledger = MemoryLedger(Row(1, "ana", channel="sms"))
    guarded = GuardedChannel("sms", wire, ContactRules(Broken(), "UTC"), lambda: NOW)
    told = deliver(ledger, {"sms": guarded}, NOW, "w", {("ana", "sms"): PHONE})

    assert wire.sent == []
    assert (told.pending, told.failed, ledger.rows[1].state) == (1, 0, "failed")
    assert "list of stops cannot be read" in told.notes[0]


def test_a_held_back_message_is_an_error_of_its_own_kind() -> None:
    with pytest.raises(HeldBackError) as told:
        GuardedChannel("sms", Wire(), rules(), lambda: NOW).send(
            OutgoingMessage(OTHER, "s", "<1@x>", b"x")
        )
    assert isinstance(told.value, DeliveryError)
    assert "5550143" not in str(told.value)
