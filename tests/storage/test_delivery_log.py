"""The outbox."""

import threading
from dataclasses import replace
from datetime import date, timedelta

import pytest

from storage.errors import StorageError

DAY = date(2026, 10, 6)


@pytest.fixture
def outbox(stores, a_message, now):
    stores.deliveries.plan([a_message()], now)
    return stores.deliveries


def _only(outbox):
    (row,) = outbox.of_day(DAY)
    return row


def test_a_planned_message_waits_with_its_exact_bytes_and_a_masked_address(outbox, a_message, now):
    row = _only(outbox)

    assert outbox.due(now) == (row,)
    assert (row.state, row.attempt, row.in_doubt) == ("pending", 0, False)
    assert row.payload == a_message().body
    assert (row.message_id, row.subject) == (a_message().message_id, a_message().subject)
    assert (row.address_masked, row.planned_utc) == ("a***@example.org", now)


def test_an_address_is_nowhere_in_the_file(outbox, stores, farm_file):
    stores.close()

    assert b"<20261006.1f0c@sandhill.example>" in farm_file.read_bytes()
    assert b"ana@example.org" not in farm_file.read_bytes()


def test_a_known_key_is_left_alone(outbox, a_message, now):
    again = a_message(body=b"other", message_id="<other@example.org>")
    more = [a_message(revision=2), a_message(kind="correction"), a_message(person_id="ben")]
    tomorrow = a_message(local_date=date(2026, 10, 7))

    assert outbox.plan([again, *more, tomorrow, replace(tomorrow, body=b"twice")], now) == 4
    assert outbox.plan([again, *more, tomorrow], now) == 0
    assert outbox.of_day(DAY)[0].payload == a_message().body
    assert [row.payload for row in outbox.of_day(tomorrow.local_date)] == [tomorrow.body]
    assert [row.person_id for row in outbox.of_day(DAY)] == ["ana", "ana", "ana", "ben"]


def test_messages_are_planned_together_or_not_at_all(outbox, a_message, now):
    with pytest.raises(StorageError):
        outbox.plan([a_message(person_id="ben"), a_message(person_id="cleo", subject=None)], now)

    assert [row.person_id for row in outbox.of_day(DAY)] == ["ana"]


def test_a_message_is_claimed_sent_and_done(outbox, now):
    row = _only(outbox)
    assert outbox.claim(row.id, "w1", now, 60) is True
    claimed = _only(outbox)
    assert (claimed.state, claimed.attempt, claimed.worker) == ("sending", 1, "w1")
    assert (claimed.claimed_utc, claimed.lease_until_utc) == (now, now + timedelta(seconds=60))
    assert outbox.due(now) == ()
    assert outbox.claim(row.id, "w2", now, 60) is False

    assert outbox.mark_sent(row.id, "w1", "250 ok", now + timedelta(seconds=1)) is True
    sent = _only(outbox)
    assert (sent.state, sent.provider_id, sent.in_doubt) == ("sent", "250 ok", False)
    assert sent.sent_utc == now + timedelta(seconds=1)
    much_later = now + timedelta(days=2)
    assert outbox.due(much_later) == ()
    assert outbox.claim(row.id, "w2", much_later, 60) is False


def test_a_message_whose_lease_ran_out_is_in_doubt_and_claimed_again(outbox, now):
    row = _only(outbox)
    outbox.claim(row.id, "w1", now, 60)
    assert outbox.claim(row.id, "w2", now + timedelta(seconds=59), 60) is False

    later = now + timedelta(seconds=60)
    assert [one.id for one in outbox.due(later)] == [row.id]
    assert outbox.claim(row.id, "w2", later, 60) is True
    again = _only(outbox)
    assert (again.attempt, again.in_doubt, again.worker) == (2, True, "w2")
    assert (again.payload, again.message_id) == (row.payload, row.message_id)


def test_a_worker_that_slept_past_its_lease_marks_nothing(outbox, now):
    row = _only(outbox)
    outbox.claim(row.id, "w1", now, 60)
    outbox.claim(row.id, "w2", now + timedelta(seconds=90), 60)

    assert outbox.mark_sent(row.id, "w1", None, now) is False
    failed = outbox.mark_failed(row.id, "w1", "timeout", permanent=True, next_try_utc=None, now=now)
    assert failed is False
    assert _only(outbox).state == "sending"
    assert outbox.mark_sent(row.id, "w2", None, now) is True


def test_a_passing_failure_is_due_again_at_its_time(outbox, now):
    row = _only(outbox)
    outbox.claim(row.id, "w1", now, 60)
    next_try_utc = now + timedelta(minutes=5)
    error = "451 try later" + "x" * 600
    assert outbox.mark_failed(
        row.id, "w1", error, permanent=False, next_try_utc=next_try_utc, now=now
    )
    failed = _only(outbox)
    assert (failed.state, failed.permanent, failed.error) == ("failed", False, error[:500])
    assert outbox.due(next_try_utc - timedelta(seconds=1)) == ()

    assert [one.id for one in outbox.due(next_try_utc)] == [row.id]
    assert outbox.claim(row.id, "w2", next_try_utc, 60) is True
    again = _only(outbox)
    # It is known not to have gone out, so it is not in doubt.
    assert (again.attempt, again.in_doubt) == (2, False)


@pytest.mark.parametrize(("permanent", "retry"), [(True, True), (True, False), (False, False)])
def test_a_failure_that_lasts_is_never_due_again(outbox, now, permanent, retry):
    row = _only(outbox)
    outbox.claim(row.id, "w1", now, 60)
    next_try_utc = now if retry else None
    outbox.mark_failed(
        row.id, "w1", "550 no such box", permanent=permanent, next_try_utc=next_try_utc, now=now
    )

    assert outbox.due(now + timedelta(days=30)) == ()
    assert _only(outbox).permanent is permanent


def test_of_two_workers_claiming_at_once_one_wins(stores, a_message, now):
    people = [f"person-{number}" for number in range(25)]
    stores.deliveries.plan([a_message(person_id=person) for person in people], now)
    rows = stores.deliveries.due(now)
    gate, wins = threading.Barrier(2), {"w1": [], "w2": []}

    def claim_all(worker: str) -> None:
        for row in rows:
            gate.wait()
            if stores.deliveries.claim(row.id, worker, now, 60):
                wins[worker].append(row.id)

    threads = [threading.Thread(target=claim_all, args=(worker,)) for worker in wins]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert sorted(wins["w1"] + wins["w2"]) == [row.id for row in rows]
    owners = {row.id: row.worker for row in stores.deliveries.of_day(DAY)}
    assert all(owners[one] == worker for worker, won in wins.items() for one in won)
    assert {row.attempt for row in stores.deliveries.of_day(DAY)} == {1}


def test_a_stop_holds_back_what_waits_for_that_person_only(stores, outbox, a_message, now):
    later = a_message(local_date=date(2026, 10, 7))
    outbox.plan([later, a_message(person_id="ben")], now)
    outbox.claim(_only_of(outbox, "ana").id, "w1", now, 60)
    outbox.mark_sent(_only_of(outbox, "ana").id, "w1", None, now)

    assert outbox.suppress("ana", "asked to stop") == 1
    assert [row.person_id for row in outbox.due(now)] == ["ben"]
    assert _only_of(outbox, "ana").state == "sent"
    (held_back,) = outbox.of_day(later.local_date)
    assert (held_back.state, held_back.error) == ("suppressed", "asked to stop")
    assert outbox.claim(held_back.id, "w1", now, 60) is False


def _only_of(outbox, person_id):
    (row,) = [one for one in outbox.of_day(DAY) if one.person_id == person_id]
    return row


def test_doubt_is_kept_through_later_failures(outbox, now):
    row = _only(outbox)
    outbox.claim(row.id, "w1", now, 60)
    told = {"permanent": False, "next_try_utc": now, "now": now}
    outbox.mark_failed(row.id, "w1", "lost after the dot", in_doubt=True, **told)
    assert _only(outbox).in_doubt is True
    outbox.claim(row.id, "w1", now, 60)
    outbox.mark_failed(row.id, "w1", "451 later", **told)
    assert _only(outbox).in_doubt is True


def test_what_a_dead_worker_was_sending_is_due_at_once_and_in_doubt(outbox, a_message, now):
    outbox.plan([a_message(person_id="ben")], now)
    first, second = outbox.of_day(DAY)
    outbox.claim(first.id, "dead", now, 900)
    outbox.claim(second.id, "alive", now, 900)

    assert outbox.release("dead", now) == 1
    assert [one.id for one in outbox.due(now)] == [first.id]
    assert outbox.claim(first.id, "next", now, 900)
    assert [one.in_doubt for one in outbox.of_day(DAY)] == [True, False]
    assert outbox.mark_sent(first.id, "dead", None, now) is False


def test_what_is_given_up_is_never_due_again_and_keeps_its_doubt(outbox, a_message, now):
    outbox.plan([a_message(person_id=one) for one in ("ben", "cleo", "dan")], now)
    ana, ben, cleo, dan = outbox.of_day(DAY)
    outbox.claim(ben.id, "w1", now, 60)
    outbox.claim(cleo.id, "w1", now, 900)
    outbox.claim(dan.id, "w1", now, 900)
    outbox.mark_sent(dan.id, "w1", None, now)
    later = now + timedelta(seconds=61)

    assert outbox.give_up([one.id for one in (ana, ben, cleo, dan)], "too late", later) == 2
    rows = outbox.of_day(DAY)
    assert [row.state for row in rows] == ["failed", "failed", "sending", "sent"]
    assert [row.in_doubt for row in rows] == [False, True, False, False]
    assert outbox.due(now + timedelta(days=1))[0].id == cleo.id
    assert rows[0].error == "too late"


def test_what_was_never_tried_goes_before_what_failed(outbox, a_message, now):
    outbox.claim(_only(outbox).id, "w1", now, 60)
    told = {"permanent": False, "next_try_utc": now, "now": now}
    outbox.mark_failed(_only(outbox).id, "w1", "451 later", **told)
    outbox.plan([a_message(person_id="ben")], now)

    assert [one.person_id for one in outbox.due(now)] == ["ben", "ana"]
