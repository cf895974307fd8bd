"""Signed links: what is changed, old, meant otherwise or of another key does nothing."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from notify.links import PURPOSES, Link, LinkError, LinkKeys, Purpose

NOW = datetime(2026, 10, 6, 11, 5, tzinfo=UTC)
WEEK = NOW + timedelta(days=7)
OLD, NEW = "old-key-" * 5, "new-key-" * 5
KEYS = LinkKeys((OLD,))
SPRAYED = Link("sprayed", "ana", "nd1", "2026-10-06", expires_utc=WEEK)
TOKEN = KEYS.sign(SPRAYED)


def refused(keys: LinkKeys, token: str, purpose: Purpose = "sprayed", now: datetime = NOW) -> str:
    with pytest.raises(LinkError) as told:
        keys.read(token, purpose, now)
    assert "\n" not in str(told.value)
    return str(told.value)


def test_a_link_says_what_was_signed() -> None:
    assert KEYS.read(TOKEN, "sprayed", NOW) == SPRAYED
    assert KEYS.sign(SPRAYED) == TOKEN


@pytest.mark.parametrize("other", [one for one in PURPOSES if one != "sprayed"])
def test_a_link_is_good_for_nothing_else(other: Purpose) -> None:
    assert "not one of ours" in refused(KEYS, TOKEN, other)


def test_a_link_ends_at_its_end() -> None:
    assert KEYS.read(TOKEN, "sprayed", WEEK - timedelta(seconds=1)) == SPRAYED
    with pytest.raises(LinkError, match="has expired") as told:
        KEYS.read(TOKEN, "sprayed", WEEK)
    assert told.value.expired


def test_the_end_of_mails_has_no_end() -> None:
    token = KEYS.sign(Link("unsubscribe", "ana", address_key="ab" * 32))
    told = KEYS.read(token, "unsubscribe", NOW + timedelta(days=3650))
    assert (told.person_id, told.address_key, told.expires_utc) == ("ana", "ab" * 8, None)


def test_nothing_else_may_be_signed_without_an_end() -> None:
    endless = KEYS.sign(Link("sprayed", "ana", "nd1"))
    refused(KEYS, endless)


@pytest.mark.parametrize("place", range(len(TOKEN)))
def test_any_letter_changed_is_refused(place: int) -> None:
    for letter in "AbZ09-_.":
        if TOKEN[place] != letter:
            refused(KEYS, TOKEN[:place] + letter + TOKEN[place + 1 :])


@given(st.integers(min_value=0, max_value=len(TOKEN) * 8 - 1))
def test_any_bit_flipped_is_refused(bit: int) -> None:
    raw = bytearray(TOKEN.encode())
    raw[bit // 8] ^= 1 << (bit % 8)
    refused(KEYS, raw.decode("latin-1"))


@given(st.text(max_size=80))
def test_any_other_text_is_refused(text: str) -> None:
    refused(KEYS, text)


@pytest.mark.parametrize("token", ["", ".", TOKEN[:-1], TOKEN + "A", TOKEN * 40, " " + TOKEN])
def test_cut_or_longer_links_are_refused(token: str) -> None:
    refused(KEYS, token)


def test_while_a_key_is_changed_both_are_accepted_and_the_new_one_signs() -> None:
    both = LinkKeys.from_text(f"{NEW} {OLD}")

    assert both.read(TOKEN, "sprayed", NOW) == SPRAYED
    assert LinkKeys((NEW,)).read(both.sign(SPRAYED), "sprayed", NOW) == SPRAYED
    refused(LinkKeys((NEW,)), TOKEN)
    refused(KEYS, both.sign(SPRAYED))


@pytest.mark.parametrize("text", ["", "  ", "short", "k" * 31, f"{'k' * 40} short"])
def test_a_key_that_could_be_guessed_is_refused_without_being_shown(text: str) -> None:
    with pytest.raises(ValueError, match="wanted at least 32 random ones") as told:
        LinkKeys.from_text(text)
    assert "short" not in str(told.value)


def test_keys_are_not_shown() -> None:
    assert OLD not in repr(KEYS)


@given(st.text(min_size=1, max_size=64), st.text(max_size=64))
def test_any_person_and_field_come_back_as_they_were(person: str, field: str) -> None:
    link = Link("look-again", person, field, "2026-10-06", expires_utc=WEEK)
    token = KEYS.sign(link)

    assert KEYS.read(token, "look-again", NOW) == link
    assert token.isascii()
    assert not set(token) & set(" <>\"'&?#/%")
