"""A channel pauses where the next message would only do harm, and for how long."""

from datetime import timedelta

import pytest
from ledger import NOW, MemoryLedger, Row

from notify.breaker import Breaker
from notify.channel import DeliveryError, OutgoingMessage, Receipt
from notify.deliver import deliver

BOOK = {(f"p{n}", "mail"): f"p{n}@example.com" for n in range(40)}


class Server:
    """Takes or refuses by the number in the address."""

    def __init__(self, refuses=lambda _number: None) -> None:
        self.refuses, self.got = refuses, []

    def send(self, message: OutgoingMessage) -> Receipt:
        number = int(message.address[1:].partition("@")[0])
        error = self.refuses(number)
        if error is not None:
            raise error
        self.got.append(number)
        return Receipt()

    def close(self) -> None:
        pass


def ledger(count: int) -> MemoryLedger:
    return MemoryLedger(*(Row(n, f"p{n}") for n in range(count)))


def refused(_number: int) -> DeliveryError:
    return DeliveryError("answered 550", permanent=True)


@pytest.mark.fault("M13")
def test_a_storm_of_refusals_pauses_the_channel_with_an_alarm() -> None:
    book, breaker, server = ledger(40), Breaker(), Server(refused)

    told = deliver(book, {"mail": server}, NOW, "w", BOOK, breaker=breaker)

    # Five refusals are the fewest that say anything; the other 35 are kept, not burnt.
    assert (told.failed, told.pending) == (5, 35)
    assert told.stopped == ("mail",)
    assert "5 of 5 messages refused for good, more than 20%" in told.notes[0]
    again = deliver(book, {"mail": server}, NOW, "w", BOOK, breaker=breaker)
    assert (again.failed, again.pending) == (0, 35)


def test_a_few_refusals_among_many_pause_nothing() -> None:
    # 8 of 40 is one in five; more than that would pause.
    server = Server(lambda n: refused(n) if n % 5 == 4 else None)

    told = deliver(ledger(40), {"mail": server}, NOW, "w", BOOK)

    assert (told.sent, told.failed, told.stopped) == (32, 8, ())


def test_pauses_grow_and_a_message_that_is_taken_ends_them() -> None:
    breaker, now, pauses = Breaker(), NOW, []
    for _ in range(5):
        breaker.stop("mail", now, "no connection")
        start = now
        while breaker.paused("mail", now):
            now += timedelta(minutes=1)
        pauses.append((now - start).total_seconds() / 60)
    assert pauses == [1, 5, 15, 30, 30]

    breaker.sent("mail")
    breaker.stop("mail", now, "no connection")
    assert breaker.paused("mail", now + timedelta(seconds=59))
    assert not breaker.paused("mail", now + timedelta(seconds=60))


def test_messages_turned_away_together_are_one_fault() -> None:
    breaker = Breaker()
    for _ in range(4):
        breaker.stop("mail", NOW, "no connection")

    assert breaker.paused("mail", NOW + timedelta(seconds=59))
    assert not breaker.paused("mail", NOW + timedelta(seconds=60))


@pytest.mark.parametrize(("asked_s", "pause_s"), [(5, 60), (600, 600), (1e9, 3600), (-3, 60)])
def test_a_pause_that_is_asked_for_is_kept_up_to_an_hour(asked_s, pause_s) -> None:
    breaker = Breaker()
    breaker.stop("sms", NOW, "answered 429", asked_s)

    assert breaker.paused("sms", NOW + timedelta(seconds=pause_s - 1))
    assert not breaker.paused("sms", NOW + timedelta(seconds=pause_s))
    assert not breaker.paused("mail", NOW)


def test_a_pause_does_not_outlive_a_clock_set_back() -> None:
    breaker = Breaker()
    breaker.stop("mail", NOW, "no connection")

    assert not breaker.paused("mail", NOW - timedelta(hours=2))


def test_a_channel_that_pauses_is_left_alone_and_its_messages_wait() -> None:
    breaker, server = Breaker(), Server()
    breaker.stop("mail", NOW, "answered 421")
    book = ledger(3)

    told = deliver(book, {"mail": server}, NOW, "w", BOOK, breaker=breaker)

    assert (told.sent, told.pending, server.got) == (0, 3, [])
    assert told.notes == ("mail stopped, the rest waits: answered 421",)
    later = NOW + timedelta(minutes=2)
    assert deliver(book, {"mail": server}, later, "w", BOOK, breaker=breaker).sent == 3


def test_people_without_an_address_say_nothing_about_the_channel() -> None:
    book = MemoryLedger(*(Row(n, f"gone{n}") for n in range(30)), Row(99, "p1"))

    told = deliver(book, {"mail": Server()}, NOW, "w", BOOK)

    assert (told.failed, told.sent, told.stopped) == (30, 1, ())
