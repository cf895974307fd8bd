"""Sessions of accounts: how they begin, what their cookie is like, and when they end."""

from datetime import timedelta

import pytest

from scheduler.board.accounts import new_account
from tests.web.board_client import BoardClient, outsider
from web.passwords import hash_of

PASSWORD = "cistern plum caliche owl"


@pytest.fixture
def dana(farm) -> str:
    farm.stores.accounts.add(new_account(farm, "dana", "dispatcher", (), PASSWORD))
    return "dana"


def log_in(client: BoardClient, name: str = "dana", password: str = PASSWORD):
    typed = {"name": name, "password": password}
    return client.post("/enter", data=typed, follow_redirects=False)


def is_in(client: BoardClient) -> bool:
    return client.get("/", follow_redirects=False).status_code == 200


def test_a_right_password_leads_to_the_order(outside, dana):
    answer = log_in(outside, " Dana ")
    assert (answer.status_code, answer.headers["location"]) == (303, "/")
    assert is_in(outside)


def test_the_cookie_is_bound_to_the_host_by_tls_and_shut_to_scripts_and_other_sites(outside, dana):
    """ASVS 5.0, 3.3.1 to 3.3.4."""
    told = log_in(outside).headers["set-cookie"]
    name, _, rest = told.partition("=")
    secret, *flags = rest.split("; ")
    assert name == "__Host-warmspell"
    assert {one.lower() for one in flags} == {"httponly", "path=/", "samesite=lax", "secure"}
    # 128 bits at least (ASVS 5.0, 7.2.3): 22 letters of base 64.
    assert len(secret) >= 22


def test_a_wrong_password_a_closed_account_and_no_account_are_told_the_same(outside, dana, farm):
    farm.stores.accounts.add(new_account(farm, "gone", "scout", (), PASSWORD))
    farm.stores.accounts.change("gone", lambda one: one.model_copy(update={"ended_utc": farm.now}))
    answers = [
        log_in(outside, "dana", "a wrong password here"),
        log_in(outside, "gone"),
        log_in(outside, "nobody"),
    ]
    assert {one.status_code for one in answers} == {403}
    assert len({one.text for one in answers}) == 1
    assert not is_in(outside)


def test_logging_in_again_begins_a_new_session_and_ends_the_old(app, outside, dana):
    log_in(outside)
    old = outside.cookies["__Host-warmspell"]
    log_in(outside)
    assert outside.cookies["__Host-warmspell"] != old
    thief = outsider(app)
    thief.cookies.set("__Host-warmspell", old)
    assert is_in(outside)
    assert not is_in(thief)


def test_a_secret_that_was_set_before_is_not_taken_over(app, outside, dana):
    """Somebody who set a cookie in another's browser does not share their session."""
    outside.cookies.set("__Host-warmspell", "set-by-somebody-else")
    log_in(outside)
    thief = outsider(app)
    thief.cookies.set("__Host-warmspell", "set-by-somebody-else")
    assert not is_in(thief)


def test_leaving_ends_the_session_for_whoever_has_its_secret(app, client_as):
    client = client_as("dispatcher")
    thief = outsider(app)
    thief.cookies.set("__Host-warmspell", client.secret)
    assert is_in(thief)
    client.send_form("/leave")
    assert not is_in(thief)


@pytest.mark.parametrize(
    "change",
    [
        pytest.param(lambda one, now: {"ended_utc": now}, id="closed"),
        pytest.param(
            lambda one, now: {"password_hash": hash_of("some other four words")}, id="new password"
        ),
    ],
)
def test_a_changed_account_is_out_at_once(client_as, farm, change):
    client = client_as("consultant")
    assert is_in(client)
    farm.stores.accounts.change(
        client.account, lambda one: one.model_copy(update=change(one, farm.now))
    )
    assert not is_in(client)


def test_whose_role_is_changed_may_do_less_at_once(client_as, farm):
    client = client_as("operator")
    changed = {"role": "grower", "grower_ids": ("aldama",)}
    accounts = farm.stores.accounts
    account = accounts.of_name(client.account).model_copy(update=changed)
    accounts.change(client.account, lambda one: account)
    assert not is_in(client)


def test_a_silent_session_ends_and_a_used_one_goes_on(client_as, clock):
    """After 12 hours, as `idle_h` in config/defaults.toml says."""
    used, silent = client_as("dispatcher"), client_as("scout")
    for _ in range(3):
        clock.passes(timedelta(hours=5))
        assert is_in(used)
    assert not is_in(silent)


def test_who_tries_too_often_waits_and_locks_nobody_else_out(app, dana, clock):
    """100 tries; the right password then waits too, from there alone."""
    guesser = outsider(app, "203.0.113.9")
    # One real comparison is slow on purpose; the counters stand before it.
    statuses = [
        log_in(guesser, "dana", f"guess number {n} is wrong").status_code for n in range(100)
    ]
    assert statuses[:10] == [403] * 10
    assert set(statuses[10:]) == {429}
    assert log_in(guesser).status_code == 429
    assert log_in(outsider(app, "203.0.113.10")).status_code == 303
    clock.passes(timedelta(minutes=16))
    assert log_in(guesser).status_code == 303


def test_one_address_cannot_try_one_password_with_every_name(app, dana):
    guesser = outsider(app, "203.0.113.9")
    statuses = [log_in(guesser, f"name-{n}", "a wrong password").status_code for n in range(40)]
    assert statuses[:30] == [403] * 30
    assert set(statuses[30:]) == {429}
