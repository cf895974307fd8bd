"""Mail addresses and phones: one of each, and never a second recipient in disguise."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from config.addresses import one_mail_address
from notify.phone_number import phone_number


@pytest.mark.parametrize(
    "text",
    [
        "bob@x.test, evil@x.test",
        "bob@x.test; evil@x.test",
        "bob@x.test evil@x.test",
        "Bob <bob@x.test>",
        "<bob@x.test>",
        "bob@x.test\nBcc: evil@x.test",
        "bob@x.test\r\n",
        "bob",
        "bob@",
        "@x.test",
        "",
    ],
)
def test_what_is_not_one_plain_address_is_refused_and_not_repeated(text):
    if text.strip() == "bob@x.test":
        assert one_mail_address(text) == "bob@x.test"
        return
    with pytest.raises(ValueError, match="wanted exactly one mail address") as caught:
        one_mail_address(text)
    assert "bob" not in str(caught.value)


@given(st.from_regex(r"[a-z]{1,8}@[a-z]{1,8}\.test", fullmatch=True), st.sampled_from(",; \n\t<>"))
def test_a_second_address_is_never_let_through(address, joint):
    assert one_mail_address(address) == address
    with pytest.raises(ValueError, match="exactly one"):
        one_mail_address(f"{address}{joint}{address}")


@pytest.mark.parametrize(
    ("text", "number"),
    [
        # E.164 (ITU-T 2010): + country code and number; the US country code is 1.
        ("806-555-0142", "+18065550142"),
        ("(806) 555-0142", "+18065550142"),
        ("1 806 555 0142", "+18065550142"),
        ("+1 806 555 0142", "+18065550142"),
        ("+52 871 555 0142", "+528715550142"),
    ],
)
def test_a_phone_becomes_its_international_form(text, number):
    assert phone_number(text) == number


@pytest.mark.parametrize("text", ["555-0142", "806-555-01", "+1", "", "four", "+1 806 555 0142 x7"])
def test_what_cannot_be_a_phone_is_refused(text):
    with pytest.raises(ValueError, match="wanted a phone number"):
        phone_number(text)
