"""Who was told what: every state of a message, what to do about it, and whom it is not for."""

import re
from datetime import date, timedelta
from uuid import uuid4

import pytest

from farm.consent import Consent, address_key
from farm.delivery_report import DeliveryReport
from farm.message import PlannedMessage

TODAY = date(2026, 10, 6)
WORKER = "worker-1"


def message(person, channel="mail", kind="morning", on=TODAY):
    address = f"{person}@example.org" if channel == "mail" else "+12025550199"
    return PlannedMessage(
        person_id=person,
        local_date=on,
        kind=f"{kind}-{channel}",
        revision=0,
        channel=channel,
        address=address,
        message_id=f"<{person}-{channel}-{kind}-{on}@example.org>",
        subject="Tue 6 Oct",
        body=b"words nobody should find on a page",
    )


@pytest.fixture
def outbox(farm):
    """Plans a message and brings it to a state; gives nothing back."""

    def plan(one, state="sent", ago=timedelta(minutes=1), **told):
        log, now = farm.stores.deliveries, farm.now - ago
        log.plan([one], now)
        row = log.of_day(one.local_date)[-1]
        if state == "pending":
            return
        assert log.claim(row.id, WORKER, now, 60.0)
        if state == "sent":
            assert log.mark_sent(row.id, WORKER, told.get("provider_id"), now)
        if state == "failed":
            again = told.get("again")
            assert log.mark_failed(
                row.id,
                WORKER,
                told["error"],
                permanent=told.get("permanent", False),
                next_try_utc=again and farm.now + again,
                now=now,
                in_doubt=told.get("in_doubt", False),
            )
        if state == "suppressed":
            assert log.hold_back(row.id, WORKER, told["error"], now)

    return plan


def shown(client):
    """The page's rows by who they are for, as words."""
    answer = client.get("/sent")
    assert answer.status_code == 200
    rows = re.findall(r"<tr>(.*?)</tr>", answer.text, re.S)
    found: dict[str, str] = {}
    for row in rows:
        words = " ".join(re.sub(r"<[^>]+>", " ", row).split())
        found.setdefault(words.split("  ")[0], words)
    return answer.text, list(found)


def row_of(client, who, also=""):
    _, rows = shown(client)
    return next(row for row in rows if row.startswith(who) and also in row)


@pytest.mark.parametrize("role", ["operator", "scout", "grower"])
def test_who_was_told_what_is_not_for_everybody(client_as, role):
    client = client_as(role, ("hallock",) if role == "grower" else ())
    assert client.get("/sent").status_code == 403
    assert "example.org" not in client.get("/sent").text


def test_nobody_is_let_in_without_a_session(outside):
    assert outside.get("/sent", follow_redirects=False).headers["location"] == "/enter"


@pytest.mark.parametrize(
    ("state", "told", "words"),
    [
        ("sent", {}, ["SENT"]),
        ("pending", {}, ["QUEUED"]),
        (
            "failed",
            {"error": "mail: answered 550: no such user", "permanent": True},
            ["REFUSED", "answered 550", "Tell them yourself", "their email in [[people]]"],
        ),
        (
            "failed",
            {"error": "mail: no connection (OSError)", "again": timedelta(minutes=5)},
            ["FAILED, tried again", "again today 6:15 am", "the host of [mail]"],
        ),
        (
            "failed",
            {"error": "mail: answered 535; check user and password", "again": timedelta(minutes=5)},
            ["Mend user and password of [mail]"],
        ),
        ("failed", {"error": "not in time"}, ["GIVEN UP", "warmspell doctor"]),
        (
            "failed",
            {"error": "mail: connection lost", "in_doubt": True},
            ["IN DOUBT", "may have arrived: ask them"],
        ),
        ("suppressed", {"error": "the reader stopped these messages"}, ["HELD BACK", "Nothing:"]),
    ],
)
def test_every_state_is_said_with_what_to_do(client_as, outbox, state, told, words):
    outbox(message("ivy"), state, **told)
    row = row_of(client_as("dispatcher"), "Ivy Castellan mail", "digest")
    assert "i***@example.org" in row
    for one in words:
        assert one in row


def test_a_message_that_waits_too_long_asks_for_the_worker(client_as, outbox):
    outbox(message("ivy"), "pending", ago=timedelta(minutes=20))
    assert "has waited 20 minutes: see whether warmspell work runs" in row_of(
        client_as("consultant"), "Ivy Castellan mail", "digest"
    )


def test_what_a_gateway_reports_later_changes_how_a_text_stands(client_as, outbox, farm):
    outbox(message("ivy", "sms"), provider_id="a1")
    outbox(message("dell", "sms"), provider_id="a2")
    for name, state in (("a1", "taken"), ("a1", "undelivered"), ("a2", "delivered")):
        report = DeliveryReport("sms", name, state, "absent subscriber", farm.now)
        farm.stores.delivery_reports.add(report)
    client = client_as("dispatcher")
    lost = row_of(client, "Ivy Castellan text", "digest")
    for words in ("DID NOT ARRIVE", "absent subscriber", "whether phone in farm.toml"):
        assert words in lost
    assert "ARRIVED" in row_of(client, "Dell Ransome text", "digest")


def test_no_address_and_nothing_that_was_written_is_shown(client_as, outbox):
    outbox(message("ivy"))
    outbox(message("ivy", "sms"))
    text, _ = shown(client_as("dispatcher"))
    for secret in ("ivy@example.org", "2025550117", "2025550199", "words nobody"):
        assert secret not in text
    assert "***0117" in text


def test_days_before_are_counted_and_a_missed_one_is_told(client_as, outbox, farm):
    yesterday = TODAY - timedelta(days=1)
    # 25 hours before the demo's 6:10 am: before the deadline of that day; 22 hours: after it.
    outbox(message("ivy", on=yesterday), ago=timedelta(hours=24))
    outbox(message("dell", on=yesterday), ago=timedelta(hours=22))
    outbox(message("dell", kind="correction", on=yesterday), ago=timedelta(hours=20))
    farm.stores.runs.give_up(TODAY - timedelta(days=2), farm.now - timedelta(days=2))
    client = client_as("dispatcher")
    # Sent, waiting, failed, in doubt, held back, late, corrections.
    assert row_of(client, "Mon 5 Oct").endswith("3 0 0 0 0 1 1")
    assert row_of(client, "Sun 4 Oct") == "Sun 4 Oct MISSED 0 0 0 0 0 0 0"


def test_a_stop_is_shown_with_when_and_how_it_was_told(client_as, farm):
    address = "ivy@example.org"
    farm.stores.consents.add(
        Consent(
            uuid=uuid4(),
            channel="mail",
            address_key=address_key("mail", address),
            address_masked="i***@example.org",
            word="stop",
            told_utc=farm.now - timedelta(days=1),
            how="by phone",
            told_by="dana",
            person_id="ivy",
        )
    )
    row = row_of(client_as("dispatcher"), "Ivy Castellan consultant mail")
    assert row.endswith("stopped Mon, by phone (dana); not set up on this farm")


def test_a_worker_that_does_not_run_is_told_after_the_deadline(client_as, clock):
    assert "has not been made" not in client_as("dispatcher").get("/sent").text
    clock.passes(timedelta(hours=25))
    assert "see whether warmspell work runs" in client_as("dispatcher").get("/sent").text


def test_what_the_mornings_stand_on_is_told_without_asking_anybody(client_as):
    text = client_as("dispatcher").get("/sent").text
    for words in ("none was ever made; run: warmspell backup", "<b>disk</b>", "<b>clock</b>"):
        assert words in text
