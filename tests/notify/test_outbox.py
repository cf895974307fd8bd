"""Who gets what by which way, and messages written to a folder."""

from dataclasses import dataclass, replace
from pathlib import Path

import pytest
from mornings import MADE, STOP, full_morning, person

from farm.people import Role
from notify.channel import DeliveryError, OutgoingMessage
from notify.digest import write_digests
from notify.file_channel import FileChannel
from notify.outbox import address_book, planned_messages
from notify.settings import MailSettings, SmsSettings

MAIL = MailSettings(host="mail.example.com", sender="spray@example.org")
SMS = SmsSettings(url="https://texts.example.com/")
PEOPLE = (
    person(Role.OPERATOR, id="both"),
    person(Role.CONSULTANT, id="mail-only", phone=None),
    person(Role.DISPATCHER, id="text-only", email=None),
    person(Role.GROWER, id="neither", email=None, phone=None),
)
DIGESTS = write_digests(full_morning(), PEOPLE, STOP)


@dataclass(frozen=True)
class Setup:
    mail: MailSettings | None = MAIL
    sms: SmsSettings | None = SMS


@pytest.mark.parametrize(
    ("setup", "planned"),
    [
        (Setup(), [("both", "mail"), ("both", "sms"), ("mail-only", "mail"), ("text-only", "sms")]),
        (Setup(sms=None), [("both", "mail"), ("mail-only", "mail")]),
        (Setup(mail=None), [("both", "sms"), ("text-only", "sms")]),
        (Setup(mail=None, sms=None), []),
    ],
)
def test_a_message_for_each_address_where_the_channel_is_set_up(
    setup: Setup, planned: list[tuple[str, str]]
) -> None:
    told = planned_messages(DIGESTS, setup, MADE)

    assert [(one.person_id, one.channel) for one in told] == planned


def test_mail_and_text_are_two_kinds_so_that_both_go_out_once() -> None:
    keys = [one.key for one in planned_messages(DIGESTS, Setup(), MADE)]

    assert len(set(keys)) == len(keys)
    assert {key[2] for key in keys} == {"morning-mail", "morning-sms"}


def test_the_body_of_a_text_message_is_its_text() -> None:
    told = planned_messages(DIGESTS[2:3], Setup(), MADE)

    assert told[0].body.decode() == DIGESTS[2].sms


def test_planning_the_same_morning_again_gives_the_same_bytes() -> None:
    assert planned_messages(DIGESTS, Setup(), MADE) == planned_messages(DIGESTS, Setup(), MADE)


def test_addresses_are_not_shown_when_a_message_is_printed() -> None:
    told = repr(planned_messages(DIGESTS, Setup(), MADE))

    assert "bea@example.com" not in told
    assert "5550100" not in told


def test_a_bad_address_leaves_the_others_alone() -> None:
    bad = replace(DIGESTS[1], person=person(Role.CONSULTANT, id="bad", email="a@b, c@d"))
    told = planned_messages([bad, DIGESTS[0]], Setup(sms=None), MADE)

    assert [(one.person_id, bool(one.body)) for one in told] == [("bad", False), ("both", True)]


def test_the_address_book_holds_what_people_have() -> None:
    book = address_book(PEOPLE)

    assert book[("both", "sms")] == "+15550100"
    assert ("mail-only", "sms") not in book
    assert len(book) == 4


def test_a_folder_takes_messages_byte_for_byte(tmp_path: Path) -> None:
    folder = FileChannel(tmp_path / "out")
    body = b"Subject: x\r\n\r\nhello\r\n"
    receipt = folder.send(OutgoingMessage("b@example.com", "x", "<2026-10-06.m.r0.ab@x>", body))

    assert receipt.provider_id == "2026-10-06.m.r0.ab.eml"
    assert (tmp_path / "out" / "2026-10-06.m.r0.ab.eml").read_bytes() == body


def test_no_message_id_leads_out_of_the_folder(tmp_path: Path) -> None:
    folder = FileChannel(tmp_path / "out", ".txt")
    for name in ("<../../etc/x@y>", "<>", "/tmp/z"):
        folder.send(OutgoingMessage("b", "x", name, b"hello"))

    assert len(list((tmp_path / "out").iterdir())) == 3
    assert [one.name for one in tmp_path.iterdir()] == ["out"]


def test_a_folder_that_cannot_be_written_stops_the_channel(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("a file, not a folder")
    with pytest.raises(DeliveryError) as told:
        FileChannel(tmp_path / "out").send(OutgoingMessage("b", "x", "<1@y>", b"hello"))

    assert told.value.stops_channel
