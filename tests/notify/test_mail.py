"""The mail: its headers, its parts, its name, and that nothing can be smuggled in."""

from dataclasses import replace
from datetime import date
from email import message_from_bytes
from email.message import EmailMessage
from email.policy import SMTP
from typing import cast

import pytest
from hypothesis import given
from hypothesis import strategies as some
from mornings import MADE, STOP, full_morning, person

from farm.people import Role
from notify.addresses import one_address
from notify.digest import write_digest
from notify.mail import mail_bytes, message_id
from notify.settings import MailSettings

SETTINGS = MailSettings(
    host="mail.example.com", sender="Sandhill <spray@example.org>", reply_to="desk@example.org"
)
DIGEST = write_digest(full_morning(), person(Role.OPERATOR), STOP)


def parsed(body: bytes) -> EmailMessage:
    return cast(EmailMessage, message_from_bytes(body, policy=SMTP))


def test_headers_say_who_when_and_how_to_stop() -> None:
    mail = parsed(mail_bytes(DIGEST, SETTINGS, MADE, "bea@example.com"))

    assert mail["From"] == "Sandhill <spray@example.org>"
    assert mail["To"] == "bea@example.com"
    assert mail["Reply-To"] == "desk@example.org"
    assert mail["Subject"] == DIGEST.subject
    assert mail["Date"].datetime == MADE
    assert mail["List-Unsubscribe"] == "<mailto:desk@example.org?subject=STOP>"
    assert mail["Auto-Submitted"] == "auto-generated"


def test_text_and_html_travel_side_by_side_unharmed() -> None:
    mail = parsed(mail_bytes(DIGEST, SETTINGS, MADE, "bea@example.com"))
    text, html = (cast(EmailMessage, part) for part in mail.iter_parts())

    assert mail.get_content_type() == "multipart/alternative"
    assert text.get_content_type() == "text/plain"
    assert text.get_content().replace("\r\n", "\n") == DIGEST.text
    assert html.get_content().replace("\r\n", "\n") == DIGEST.html


def test_the_same_mail_has_the_same_bytes() -> None:
    first = mail_bytes(DIGEST, SETTINGS, MADE, "bea@example.com")

    assert first == mail_bytes(DIGEST, SETTINGS, MADE, "bea@example.com")


def test_lines_are_short_enough_for_any_server() -> None:
    """RFC 5321, section 4.5.3.1.6: 998 characters and the line end."""
    body = mail_bytes(DIGEST, SETTINGS, MADE, "bea@example.com")

    assert max(len(row) for row in body.split(b"\r\n")) <= 998
    assert body.isascii()


def test_a_message_is_named_by_date_kind_revision_and_person() -> None:
    name = message_id("bea", date(2026, 10, 6), "morning", 0, "spray@example.org")

    assert name.startswith("<2026-10-06.morning.r0.")
    assert name.endswith("@example.org>")
    assert "bea" not in name
    assert name != message_id("bob", date(2026, 10, 6), "morning", 0, "spray@example.org")
    assert name != message_id("bea", date(2026, 10, 6), "morning", 1, "spray@example.org")


@pytest.mark.fault("M12")
@pytest.mark.parametrize(
    "address",
    [
        "bob@example.com, evil@example.com",
        "bob@example.com\r\nBcc: evil@example.com",
        "bob",
        "",
        "@example.com",
        "friends: a@example.com, b@example.com;",
    ],
)
def test_anything_but_one_address_is_refused(address: str) -> None:
    with pytest.raises(ValueError, match="wanted exactly one"):
        one_address(address)


@pytest.mark.fault("M11")
@given(subject=some.text(max_size=120), text=some.text(max_size=200))
def test_no_header_can_be_smuggled_in(subject: str, text: str) -> None:
    nasty = f"{subject}\r\nBcc: evil@example.com"
    body = mail_bytes(replace(DIGEST, subject=nasty, text=text), SETTINGS, MADE, "b@example.com")
    mail = parsed(body)

    assert mail["Bcc"] is None
    assert mail["To"] == "b@example.com"
