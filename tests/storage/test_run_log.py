"""Which mornings ran."""

from datetime import date, timedelta

MONDAY, TUESDAY = date(2026, 10, 5), date(2026, 10, 6)


def test_a_morning_counts_as_sent_when_its_run_ended_so(stores, now):
    number = stores.runs.begin(TUESDAY, "morning", now)
    assert not stores.runs.sent_on(TUESDAY)
    assert stores.runs.last_finished() is None

    stores.runs.finish(number, 3, now + timedelta(seconds=9), sent=True)
    assert stores.runs.sent_on(TUESDAY)
    assert not stores.runs.sent_on(MONDAY)
    assert not stores.runs.sent_on(TUESDAY, "correction")
    assert stores.runs.last_finished() == TUESDAY


def test_a_morning_that_failed_is_not_sent_and_may_run_again(stores, now):
    stores.runs.finish(stores.runs.begin(TUESDAY, "morning", now), 70, now, sent=False)
    assert not stores.runs.sent_on(TUESDAY)
    assert stores.runs.last_finished("morning") == TUESDAY

    stores.runs.finish(stores.runs.begin(TUESDAY, "morning", now), 0, now, sent=True)
    assert stores.runs.sent_on(TUESDAY)


def test_a_morning_given_up_is_missed_and_not_sent(stores, now):
    stores.runs.give_up(MONDAY, now)

    assert stores.runs.missed_on(MONDAY)
    assert not stores.runs.missed_on(TUESDAY)
    assert not stores.runs.sent_on(MONDAY)
    assert stores.runs.last_finished() is None


def test_the_newest_date_is_last_whatever_ran_last(stores, now):
    for local_date in (TUESDAY, MONDAY):
        stores.runs.finish(stores.runs.begin(local_date, "morning", now), 0, now, sent=True)

    assert stores.runs.last_finished() == TUESDAY
