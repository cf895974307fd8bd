"""Handing over: claimed before it is sent, marked after, each by itself, tried again in time."""

from datetime import timedelta

import pytest
from ledger import NOW, MemoryLedger, Row

from notify.channel import DeliveryError, OutgoingMessage, Receipt
from notify.deliver import MOST_TRIES, DeliverySummary, deliver

BOOK = {(name, channel): f"{name}@example.com" for name in "abcd" for channel in ("mail", "sms")}


class Scripted:
    """Sends to everybody but those it has an error for."""

    def __init__(self, ledger: MemoryLedger, **errors: Exception | BaseException) -> None:
        self.errors, self.ledger = errors, ledger
        self.sent: list[OutgoingMessage] = []
        self.closed = 0

    def send(self, message: OutgoingMessage) -> Receipt:
        self.ledger.trail.append(f"send {message.address[0]}")
        self.sent.append(message)
        error = self.errors.get(message.address[0])
        if error is not None:
            raise error
        return Receipt("id-1")

    def close(self) -> None:
        self.closed += 1


def run(
    ledger: MemoryLedger, *, after_min: float = 0.0, worker: str = "w", **errors: BaseException
) -> tuple[DeliverySummary, Scripted]:
    channel = Scripted(ledger, **errors)
    now = NOW + timedelta(minutes=after_min)
    told = deliver(ledger, {"mail": channel, "sms": channel}, now, worker, BOOK)
    return told, channel


def test_each_message_is_claimed_then_sent_then_marked() -> None:
    ledger = MemoryLedger(Row(1, "a"), Row(2, "b"))
    told, channel = run(ledger)

    assert ledger.trail == ["claim 1", "send a", "sent 1", "claim 2", "send b", "sent 2"]
    assert told == DeliverySummary(sent=2)
    assert channel.closed


@pytest.mark.fault("M02")
def test_one_bad_recipient_never_stops_the_others() -> None:
    ledger = MemoryLedger(*(Row(n, name) for n, name in enumerate("abcd")))
    told, _ = run(
        ledger,
        a=DeliveryError("answered 550 for a***@example.com", permanent=True),
        b=RuntimeError("a fault of ours"),
        c=DeliveryError("answered 451"),
    )

    assert (told.sent, told.failed, told.in_doubt, told.pending) == (1, 1, 1, 1)
    assert [ledger.rows[n].state for n in range(4)] == ["given up", "failed", "failed", "sent"]
    assert told.notes == (
        "mail to a: answered 550 for a***@example.com",
        "mail to b: RuntimeError while sending",
        "mail to c: answered 451",
    )


@pytest.mark.fault("M01")
@pytest.mark.parametrize(
    ("attempt", "wait_min"), [(0, 1), (1, 5), (2, 15), (3, 30), (4, 30), (9, 30)]
)
def test_a_temporary_failure_is_tried_again_later_and_later(attempt: int, wait_min: int) -> None:
    ledger = MemoryLedger(Row(1, "a", attempt=attempt))
    run(ledger, a=DeliveryError("answered 451"))

    assert ledger.rows[1].until_utc == NOW + timedelta(minutes=wait_min)


def test_a_message_is_given_up_in_the_end() -> None:
    ledger = MemoryLedger(Row(1, "a", attempt=MOST_TRIES - 1))
    told, _ = run(ledger, a=DeliveryError("answered 451"))

    assert ledger.rows[1].state == "given up"
    assert told.failed == 1


def test_a_crash_between_claim_and_send_is_in_doubt_and_sends_the_same_bytes() -> None:
    ledger = MemoryLedger(Row(1, "a", payload=b"the very bytes", message_id="<7@x>"))
    with pytest.raises(KeyboardInterrupt):
        run(ledger, worker="first", a=KeyboardInterrupt())
    early, _ = run(ledger, after_min=1, worker="second")
    told, channel = run(ledger, after_min=20, worker="second")

    assert early == DeliverySummary()
    assert told.sent == 1
    assert ledger.rows[1].in_doubt
    assert [(one.body, one.message_id) for one in channel.sent] == [(b"the very bytes", "<7@x>")]


def test_a_refused_login_stops_the_channel_and_keeps_the_rest() -> None:
    ledger = MemoryLedger(Row(1, "a"), Row(2, "b"), Row(3, "c"))
    refused = DeliveryError("answered 535", permanent=True, stops_channel=True)
    told, channel = run(ledger, a=refused)

    assert len(channel.sent) == 1
    assert (told.sent, told.pending, told.failed) == (0, 3, 0)
    assert told.notes == ("mail stopped, the rest waits: answered 535",)
    assert [ledger.rows[n].state for n in (1, 2, 3)] == ["failed", "pending", "pending"]


def test_a_stopped_channel_leaves_the_other_one_alone() -> None:
    ledger = MemoryLedger(Row(1, "a"), Row(2, "b", channel="sms"))
    told, _ = run(ledger, a=DeliveryError("no connection", stops_channel=True))

    assert (told.sent, told.pending) == (1, 1)


def test_what_may_have_arrived_is_told_apart() -> None:
    ledger = MemoryLedger(Row(1, "a"))
    told, _ = run(ledger, a=DeliveryError("lost, may have been sent", in_doubt=True))

    assert told.in_doubt == 1
    assert ledger.rows[1].error == "lost, may have been sent"
    assert ledger.rows[1].state == "failed"


@pytest.mark.fault("T05")
def test_a_text_message_that_may_have_arrived_is_sent_again_once() -> None:
    ledger = MemoryLedger(Row(1, "a", channel="sms"))
    lost = DeliveryError("may have been sent", in_doubt=True)
    run(ledger, a=lost)
    run(ledger, a=lost, after_min=5)

    assert ledger.rows[1].attempt == 2
    assert ledger.rows[1].state == "given up"


def test_who_has_no_address_any_more_gets_nothing() -> None:
    ledger = MemoryLedger(Row(1, "gone"), Row(2, "a"))
    told, channel = run(ledger)

    assert [one.address for one in channel.sent] == ["a@example.com"]
    assert (told.sent, told.failed) == (1, 1)


def test_a_message_that_could_not_be_written_is_reported() -> None:
    told, channel = run(MemoryLedger(Row(1, "a", payload=b"")))

    assert channel.sent == []
    assert "no message could be written" in told.notes[0]


def test_a_message_for_a_channel_that_is_not_there_waits() -> None:
    ledger = MemoryLedger(Row(1, "a", channel="pigeon"))
    told, _ = run(ledger)

    assert told.pending == 1
    assert ledger.rows[1].state == "pending"


def test_a_message_another_worker_took_over_is_not_marked_by_us() -> None:
    ledger = MemoryLedger(Row(1, "a"))

    class Slow(Scripted):
        def send(self, message: OutgoingMessage) -> Receipt:
            ledger.claim(1, "other", NOW + timedelta(hours=1), 60)
            return super().send(message)

    told = deliver(ledger, {"mail": Slow(ledger)}, NOW, "w", BOOK)

    assert (told.sent, told.in_doubt) == (0, 1)
    assert ledger.rows[1].worker == "other"


def test_a_message_lost_on_the_way_stays_in_doubt_and_its_repeat_is_flagged() -> None:
    ledger = MemoryLedger(Row(1, "a"))
    run(ledger, a=DeliveryError("lost after the last dot", in_doubt=True))
    assert ledger.rows[1].in_doubt

    told, channel = run(ledger, after_min=2)

    assert (told.sent, told.repeated) == (1, 1)
    assert told.notes == ("mail to a: sent again as it was, it may have arrived before",)
    assert [one.message_id for one in channel.sent] == ["<1@x>"]


def test_a_message_that_surely_did_not_go_out_is_no_repeat() -> None:
    ledger = MemoryLedger(Row(1, "a"))
    run(ledger, a=DeliveryError("answered 451"))
    told, _ = run(ledger, after_min=2)

    assert (told.sent, told.repeated, told.notes) == (1, 0, ())


@pytest.mark.parametrize(("asked_s", "wait_s"), [(None, 60), (20, 60), (300, 300), (1e9, 3600)])
def test_a_wait_that_is_asked_for_is_kept_up_to_an_hour(asked_s, wait_s) -> None:
    ledger = MemoryLedger(Row(1, "a"))
    run(ledger, a=DeliveryError("answered 429", retry_after_s=asked_s))

    assert ledger.rows[1].until_utc == NOW + timedelta(seconds=wait_s)


def test_a_stopped_channel_never_uses_up_the_tries_of_a_message() -> None:
    ledger = MemoryLedger(Row(1, "a", attempt=MOST_TRIES + 5))
    run(ledger, a=DeliveryError("no connection", stops_channel=True))

    assert ledger.rows[1].state == "failed"
    assert ledger.rows[1].until_utc > NOW


@pytest.mark.parametrize(("permanent", "wanted"), [(True, True), (False, False)])
def test_only_what_the_operator_must_mend_is_a_fault_of_the_config(permanent, wanted) -> None:
    error = DeliveryError("answered", permanent=permanent, stops_channel=True)
    told, _ = run(MemoryLedger(Row(1, "a")), a=error)

    assert told.config_fault is wanted


def test_a_lease_counts_from_the_claim_not_from_the_start_of_the_pass() -> None:
    ledger, moments = MemoryLedger(Row(1, "a"), Row(2, "b")), []

    class Ticking(Scripted):
        def send(self, message: OutgoingMessage) -> Receipt:
            moments.append(ledger.rows[len(moments) + 1].until_utc)
            return super().send(message)

    times = iter(NOW + timedelta(minutes=10 * n) for n in range(99))
    deliver(ledger, {"mail": Ticking(ledger)}, NOW, "w", BOOK, lease_s=60, clock=times.__next__)

    assert moments[1] - moments[0] >= timedelta(minutes=10)
