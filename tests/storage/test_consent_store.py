"""Stops and consents: the last word counts, and a stop takes what waits with it."""

import threading
from datetime import timedelta
from uuid import UUID, uuid4

import pytest

from farm.consent import Consent, address_key
from storage.errors import StorageError
from storage.stores import open_stores

PHONE = "+12025550142"


@pytest.fixture
def a_consent(now):
    def build(word="stop", address=PHONE, channel="sms", **changes):
        values = {
            "uuid": uuid4(),
            "channel": channel,
            "address_key": address_key(channel, address),
            "address_masked": "***0142",
            "word": word,
            "told_utc": now,
            "how": "told by phone",
        }
        return Consent(**(values | changes))

    return build


def test_nobody_said_anything_of_an_unknown_address(stores):
    assert stores.consents.standing("sms", PHONE) is None


def test_the_last_word_added_counts_whatever_the_clock_says(stores, a_consent, now):
    stores.consents.add(a_consent("allow", told_utc=now))
    stores.consents.add(a_consent("stop", told_utc=now - timedelta(hours=1)))
    assert stores.consents.standing("sms", PHONE).word == "stop"

    stores.consents.add(a_consent("allow", told_utc=now - timedelta(hours=2)))
    assert stores.consents.standing("sms", PHONE).word == "allow"
    assert [one.word for one in stores.consents.all()] == ["allow", "stop", "allow"]


def test_a_request_sent_again_after_a_newer_word_changes_nothing(stores, a_consent):
    stop = a_consent("stop", uuid=UUID(int=1))
    assert stores.consents.add(stop)
    stores.consents.add(a_consent("allow"))

    assert not stores.consents.add(stop)
    assert stores.consents.standing("sms", PHONE).word == "allow"


def test_an_address_is_found_again_however_it_is_written(stores, a_consent):
    stores.consents.add(a_consent(address="Ana@Example.ORG ", channel="mail"))

    assert stores.consents.standing("mail", "ana@example.org").word == "stop"
    assert stores.consents.standing("sms", "ana@example.org") is None
    assert stores.consents.standing("mail", "bea@example.org") is None


def test_a_stop_suppresses_what_waits_for_these_people_on_this_channel_and_nothing_else(
    stores, a_consent, a_message, now
):
    stores.deliveries.plan(
        [
            a_message(person_id="ana", channel="sms", kind="morning-sms"),
            a_message(person_id="ana", channel="mail", kind="morning-mail"),
            a_message(person_id="bea", channel="sms", kind="morning-sms"),
            a_message(person_id="cy", channel="sms", kind="morning-sms"),
        ],
        now,
    )

    stores.consents.add(a_consent("stop"), ["ana", "bea"])

    states = {
        (one.person_id, one.channel): one.state
        for one in stores.deliveries.of_day(a_message().local_date)
    }
    assert states == {
        ("ana", "sms"): "suppressed",
        ("ana", "mail"): "pending",
        ("bea", "sms"): "suppressed",
        ("cy", "sms"): "pending",
    }


def test_a_word_to_allow_brings_no_suppressed_message_back(stores, a_consent, a_message, now):
    stores.deliveries.plan([a_message(channel="sms")], now)
    stores.consents.add(a_consent("stop"), ["ana"])
    stores.consents.add(a_consent("allow"), ["ana"])

    assert stores.deliveries.due(now) == ()


def test_a_stop_that_cannot_be_kept_suppresses_nothing(stores, a_consent, a_message, now):
    stores.deliveries.plan([a_message(channel="sms")], now)
    with stores.database.write() as connection:
        connection.exec_driver_sql("DROP TABLE consents")

    with pytest.raises(StorageError, match="nothing was saved"):
        stores.consents.add(a_consent("stop"), ["ana"])
    assert [one.state for one in stores.deliveries.due(now)] == ["pending"]


def test_of_a_stop_and_a_claim_at_once_exactly_one_gets_the_message(
    stores, a_consent, a_message, now
):
    """The two are transactions of one database: whichever comes first settles it."""
    outcomes = set()
    for day in range(25):
        message = a_message(channel="sms", revision=100 + day)
        stores.deliveries.plan([message], now)
        (row,) = stores.deliveries.due(now)
        both = threading.Barrier(2)
        claimed = []

        def claim(row=row, both=both, claimed=claimed):
            both.wait()
            claimed.append(stores.deliveries.claim(row.id, "w", now, 900.0))

        thread = threading.Thread(target=claim)
        thread.start()
        both.wait()
        stores.consents.add(a_consent("stop"), ["ana"])
        thread.join()
        kept = [one for one in stores.deliveries.of_day(message.local_date) if one.id == row.id]
        outcomes.add((claimed[0], kept[0].state))
        if claimed[0]:
            stores.deliveries.mark_sent(row.id, "w", None, now)

    assert outcomes <= {(True, "sending"), (False, "suppressed")}


@pytest.mark.fault("D08")
def test_an_altered_stop_is_named_and_never_read_as_consent(stores, behind, a_consent):
    stores.consents.add(a_consent("allow"))
    stores.consents.add(a_consent("stop"))
    behind("UPDATE consents SET record = replace(record, 'stop', 'allow')")

    with pytest.raises(StorageError, match="consents row 2: its content does not match its seal"):
        stores.consents.standing("sms", PHONE)


def test_the_list_of_stops_holds_no_address(farm_file, a_consent):
    with open_stores(farm_file, ".") as stores:
        stores.consents.add(a_consent("stop"))

    whole = b"".join(path.read_bytes() for path in farm_file.parent.glob("farm.db*"))
    assert b"2025550142" not in whole
