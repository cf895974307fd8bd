"""Lines of the log: one each, in UTC, and nobody's address, number or secret in them."""

import io
import json
import logging

import pytest
from pydantic import SecretStr

from notify.settings import Secrets
from scheduler.log_lines import log_to, masked, secret_texts

SECRET = "kqzx-77-hush"


@pytest.fixture
def logged():
    logger, before = logging.getLogger("warmspell"), logging.getLogger("warmspell").handlers[:]
    stream = io.StringIO()

    def write(style, say):
        log_to(stream, style, [SECRET])
        say(logging.getLogger("warmspell.test"))
        return stream.getvalue()

    yield write
    logger.handlers[:] = before


def test_a_line_says_when_how_grave_and_what(logged):
    (line,) = logged("text", lambda log: log.warning("%d sent", 4)).splitlines()

    when, level, said = line.split(" ", 2)
    assert when.endswith("+00:00")
    assert (level, said) == ("WARNING", "4 sent")


def test_an_object_says_the_same(logged):
    told = json.loads(logged("json", lambda log: log.error("mail to %s", "ana")))

    assert told["time"].endswith("+00:00")
    assert (told["level"], told["logger"]) == ("error", "warmspell.test")
    assert told["message"] == "mail to ana"
    assert "traceback" not in told


@pytest.mark.parametrize("style", ["text", "json"])
def test_a_name_with_line_breaks_and_colours_starts_no_line_of_its_own(logged, style):
    text = logged(style, lambda log: log.info("field %s", "x\n2026 ERROR all lost\x1b[31m\r"))

    assert len(text.splitlines()) == 1
    assert "\x1b" not in text
    assert "\\u001b" not in text


@pytest.mark.parametrize("style", ["text", "json"])
def test_addresses_numbers_and_secrets_are_masked_in_words_and_tracebacks(logged, style):
    def say(log):
        try:
            raise ValueError(f"ana.ruhl@example.org said no to {SECRET}, +1 202 555 0142")
        except ValueError:
            log.exception("to %s and %s", "bea@example.org", "+12025550143")

    text = logged(style, say)
    for private in (SECRET, "ana.ruhl", "bea@", "555 0142", "5550143"):
        assert private not in text
    for shown in ("a***@example.org", "b***@example.org", "***0142", "***0143", "ValueError"):
        assert shown in text


@pytest.mark.parametrize(
    "text",
    ["spray +3 F", "took 12025550 s", "f1@2", "2026-10-06T11:00:00+00:00", "5-10 mph, 28F"],
)
def test_what_is_no_address_stays(text):
    assert masked(text) == text


def test_every_word_of_every_secret_is_known_the_longest_first():
    secrets = Secrets(
        link_key=SecretStr("newer-key older-key-1"), ping_url=SecretStr("https://x/y")
    )
    texts = secret_texts(secrets, {"PGPASSWORD": "hush"})

    assert texts[0] == "newer-key older-key-1"
    assert {"newer-key", "older-key-1", "https://x/y", "hush"} <= set(texts)
    assert masked("key newer-key", texts) == "key ***"
