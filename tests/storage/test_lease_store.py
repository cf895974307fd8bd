"""Leases: one holder at a time, and who may take over from whom."""

import threading
from datetime import timedelta

import pytest

from storage.errors import StorageError
from storage.lease_store import LeaseStore

LEASE_S = 900.0


@pytest.fixture
def held(stores):
    return LeaseStore(stores.database)


def test_only_one_holds_a_lease_until_it_is_given_back(held, now):
    assert held.take("morning", "one", "den-a", now, LEASE_S) == ""
    assert held.take("morning", "two", "den-b", now, LEASE_S) is None
    assert held.take("other", "two", "den-b", now, LEASE_S) == ""

    held.give_back("morning", "two")
    assert held.take("morning", "two", "den-b", now, LEASE_S) is None
    held.give_back("morning", "one")
    assert held.take("morning", "two", "den-b", now, LEASE_S) == ""


def test_a_lease_that_ran_out_is_taken_over_and_the_old_holder_is_told_so(held, now):
    held.take("morning", "one", "den-a", now, LEASE_S)
    just_before = now + timedelta(seconds=LEASE_S - 1)
    assert held.take("morning", "two", "den-b", just_before, LEASE_S) is None
    over = now + timedelta(seconds=LEASE_S)
    assert held.take("morning", "two", "den-b", over, LEASE_S) == "one"
    assert held.extend("morning", "one", over, LEASE_S) is False
    assert held.extend("morning", "two", over, LEASE_S) is True


def test_an_extended_lease_runs_on_from_then(held, now):
    held.take("morning", "one", "den-a", now, LEASE_S)
    held.extend("morning", "one", now + timedelta(seconds=600), LEASE_S)
    later = now + timedelta(seconds=LEASE_S + 300)
    assert held.take("morning", "two", "den-b", later, LEASE_S) is None


def test_who_stands_in_the_same_den_need_not_wait(held, now):
    held.take("morning", "killed", "den-a", now, LEASE_S)
    assert held.take("morning", "next", "den-a", now, LEASE_S) == "killed"
    assert held.take("morning", "next", "den-a", now, LEASE_S) == ""


def test_of_many_taking_at_once_one_wins(held, now):
    gate, wins = threading.Barrier(8), []

    def try_it(name: str) -> None:
        gate.wait()
        if held.take("morning", name, name, now, LEASE_S) is not None:
            wins.append(name)

    threads = [threading.Thread(target=try_it, args=(f"w{n}",)) for n in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(wins) == 1


def test_who_was_quicker_to_add_the_first_lease_holds_it(held, now, monkeypatch):
    """As on a server, where both find no row and the second one's is refused."""
    held.take("morning", "quick", "den-a", now, LEASE_S)

    def refused(*_told):
        raise StorageError("a row of that name is there; nothing was saved")

    monkeypatch.setattr(held, "_take", refused)
    assert held.take("morning", "slow", "den-b", now, LEASE_S) is None
    with pytest.raises(StorageError):
        held.take("other", "slow", "den-b", now, LEASE_S)
