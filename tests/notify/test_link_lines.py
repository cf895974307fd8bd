"""Links in digests: only where they are set up, only for what the reader may see, and few."""

import re
from datetime import timedelta
from email import message_from_bytes, policy
from html import unescape

import pytest
from mornings import MADE, STOP, field, full_morning, morning, person, spray

from farm.people import Role
from notify.digest import Digest, write_digests
from notify.link_lines import LinkMaker
from notify.links import LinkKeys
from notify.mail import mail_bytes
from notify.settings import MailSettings

KEYS = LinkKeys(("k" * 40,))
MAKER = LinkMaker(KEYS, "https://board.example.com/farm/")
MAIL = MailSettings(host="mail.example.com", sender="Digest <digest@example.com>")
URL = re.compile(r"https://board\.example\.com/farm/do/([a-z-]+)/([^\s\"<>]+)")


def digest(role: Role, links: LinkMaker | None = MAKER, report=None, **more) -> Digest:
    (made,) = write_digests(report or full_morning(), [person(role, **more)], STOP, links=links)
    assert made.faults == ()
    return made


def links_in(text: str) -> list[tuple[str, str]]:
    return URL.findall(unescape(text))


def test_without_a_key_a_digest_is_as_it_was() -> None:
    plain = digest(Role.OPERATOR, None)

    assert plain.stop_url == ""
    assert "http" not in plain.text
    assert "<a " not in plain.html


@pytest.mark.parametrize("role", [Role.OPERATOR, Role.CONSULTANT, Role.DISPATCHER])
def test_each_card_gets_two_links_that_do_and_the_mail_one_to_end_it(role: Role) -> None:
    made = digest(role)

    assert links_in(made.text) == links_in(made.html)
    assert [purpose for purpose, _ in links_in(made.text)] == [
        *["sprayed", "look-again"] * 4,
        "unsubscribe",
    ]
    fields = [
        KEYS.read(token, "sprayed", MADE).field_id
        for purpose, token in links_in(made.text)
        if purpose == "sprayed"
    ]
    assert fields == ["f2", "f3", "f4", "f5"]


def test_a_growers_links_are_for_their_own_fields_and_in_their_name() -> None:
    told = [
        KEYS.read(token, purpose, MADE)
        for purpose, token in links_in(digest(Role.GROWER).text)
        if purpose != "unsubscribe"
    ]
    assert {one.field_id for one in told} == {"f2", "f4", "f5"}
    assert {one.person_id for one in told} == {"p-grower"}
    assert {one.local_date for one in told} == {"2026-10-06"}
    assert {one.expires_utc for one in told} == {MADE + timedelta(days=7)}


def test_a_long_list_has_links_for_whole_cards_alone() -> None:
    fields = [spray(field(n, f"Field {n}", "odell"), "T. O'Dell", n) for n in range(1, 41)]
    made = digest(Role.OPERATOR, report=morning(*fields))
    bare = digest(Role.OPERATOR, None, report=morning(*fields))

    assert len(links_in(made.html)) == len(links_in(made.text)) == 25
    # Mail programs cut a message at about 100 kB (common knowledge, no source).
    assert len(made.html) - len(bare.html) < 12_000


PAGES = re.compile(r"https://board\.example\.com/farm/(?!do/)([^\s\"<>]*)")


def test_a_mail_leads_to_the_board_once_and_from_each_whole_card_to_its_field() -> None:
    made = digest(Role.GROWER)

    for told in (made.text, unescape(made.html)):
        assert PAGES.findall(told) == ["", "fields/f2", "fields/f4", "fields/f5"]


def test_a_field_whose_id_looks_like_a_gap_has_its_page_and_passes_the_check() -> None:
    odd = spray(field(1, "Home", "odell").model_copy(update={"id": "None/{x}?a=b&c"}), "T", 1)
    made = digest(Role.OPERATOR, report=morning(odd))

    assert PAGES.findall(made.text) == ["", "fields/None%2F%7Bx%7D%3Fa%3Db%26c"]


def test_the_text_message_holds_no_link() -> None:
    assert "http" not in (digest(Role.OPERATOR).sms or "")


def test_the_address_stands_whole_on_one_line_of_the_text() -> None:
    text = digest(Role.OPERATOR).text
    for purpose, token in links_in(text):
        assert KEYS.read(token, purpose, MADE).purpose == purpose


def test_a_mail_with_links_can_be_ended_with_one_click() -> None:
    """RFC 8058, section 3.1: both headers, an https address, and nothing cut or encoded in it."""
    raw = mail_bytes(digest(Role.OPERATOR), MAIL, MADE, "bea@example.com")
    head = raw.partition(b"\r\n\r\n")[0].decode("ascii")
    mail = message_from_bytes(raw, policy=policy.default)

    (line,) = [one for one in head.split("\r\n") if one.startswith("List-Unsubscribe:")]
    (purpose, token), *rest = links_in(line)
    assert (purpose, rest) == ("unsubscribe", [])
    assert KEYS.read(token, "unsubscribe", MADE).person_id == "p-operator"
    assert line.endswith(">, <mailto:digest@example.com?subject=STOP>")
    assert mail["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
    assert max(len(one) for one in raw.split(b"\r\n")) <= 998
    assert raw == mail_bytes(digest(Role.OPERATOR), MAIL, MADE, "bea@example.com")


def test_a_mail_without_links_does_not_claim_one_click() -> None:
    raw = mail_bytes(digest(Role.OPERATOR, None), MAIL, MADE, "bea@example.com")

    assert b"List-Unsubscribe: <mailto:digest@example.com?subject=STOP>" in raw
    assert b"List-Unsubscribe-Post" not in raw
