"""One correction a day: a spray withdrawn, or a freeze that came up, and nothing else."""

from datetime import timedelta

import pytest
from mornings import (
    MADE,
    STOP,
    at,
    call,
    field,
    freeze,
    full_morning,
    morning,
    person,
    short,
    spray,
    sprayed,
    unknown,
    wait,
)

from dispatch.report import Call, MorningReport
from farm.people import Role
from notify.correction import changes_since, write_corrections
from notify.gsm7 import segments
from notify.mail import mail_bytes, message_id
from notify.settings import MailSettings

NORTH = field(1, "North Draw", "odell")
GIN = field(2, "Gin Road", "ruhl")
SENT = morning(spray(NORTH, "T. O'Dell", 1), spray(GIN, "Ruhl & Sons", 2))
LATER = MADE + timedelta(hours=3)


def now(*fields) -> MorningReport:
    return morning(*fields, made_utc=LATER)


def names(fields) -> list[str]:
    return [one.field.name for one in fields]


@pytest.mark.parametrize(
    "stands",
    [
        pytest.param(wait(NORTH, "T. O'Dell"), id="wait"),
        pytest.param(unknown(NORTH, "T. O'Dell"), id="unknown"),
        pytest.param(call(NORTH, Call.LOOK, "T. O'Dell"), id="walk"),
    ],
)
def test_a_spray_that_is_no_longer_one_is_withdrawn(stands) -> None:
    changes = changes_since(SENT, now(stands, spray(GIN, "Ruhl & Sons", 1)))

    assert (names(changes.withdrawn), names(changes.freezes)) == (["North Draw"], [])


@pytest.mark.parametrize(
    "stands",
    [
        pytest.param(spray(NORTH, "T. O'Dell", 2), id="still spray"),
        pytest.param(short(NORTH, "T. O'Dell", 1), id="spray became short"),
        pytest.param(sprayed(NORTH, "T. O'Dell", due_today=False), id="sprayed since"),
    ],
)
def test_what_is_still_to_be_sprayed_or_is_done_is_not_withdrawn(stands) -> None:
    free = stands.model_copy(update={"freeze": freeze()})

    assert not changes_since(SENT, now(free, spray(GIN, "Ruhl & Sons", 1)))


def test_what_has_become_better_waits_for_tomorrow() -> None:
    sent = morning(wait(NORTH, "T. O'Dell"), unknown(GIN, "Ruhl & Sons"))

    assert not changes_since(sent, now(spray(NORTH, "T. O'Dell", 1), spray(GIN, "Ruhl & Sons", 2)))


@pytest.mark.parametrize(
    ("then", "hours", "told"),
    [
        pytest.param(None, 47, True, id="none seen, now in 47 h"),
        pytest.param(None, 48, True, id="none seen, now in 48 h"),
        pytest.param(None, 49, False, id="none seen, now in 49 h"),
        pytest.param(30, 29, False, id="told this morning"),
        pytest.param(49, 47, False, id="told this morning, only nearer since"),
        pytest.param(90, 40, True, id="far off this morning, now near"),
    ],
)
def test_a_freeze_that_came_up_within_two_days_is_told(then, hours, told) -> None:
    first = None if then is None else LATER + timedelta(hours=then)
    old = spray(NORTH, "T. O'Dell", 1, freeze=freeze(first_utc=first))
    new = spray(NORTH, "T. O'Dell", 1, freeze=freeze(first_utc=LATER + timedelta(hours=hours)))

    changes = changes_since(morning(old), now(new))

    assert bool(changes.freezes) is told
    assert not changes.withdrawn


def test_a_correction_says_which_fields_and_why_and_what_stands() -> None:
    cold = freeze(first_utc=at(8, 5), low_f=30.4)
    after = now(wait(NORTH, "T. O'Dell"), spray(GIN, "Ruhl & Sons", 1, freeze=cold))

    (digest,) = write_corrections(SENT, after, [person(Role.OPERATOR)], STOP)

    assert digest.faults == ()
    assert digest.kind == "correction"
    assert digest.subject == (
        "Correction Tue 6 Oct: do not spray 1 field, freeze seen in 1 field (Sandhill Co-op)"
    )
    for words in (
        "DO NOT SPRAY (1)",
        "North Draw: now wait. 7.4 nodes above the cracked boll",
        "FREEZE SEEN NOW (1)",
        "Gin Road: first Thu 5 am, down to 30F",
        "All other calls of this morning stand",
        "The label is the law",
        STOP,
    ):
        assert words in digest.text
    assert digest.sms == (
        "Tue 6 Oct CORRECTION: Do not spray North Draw. Freeze seen now: Gin Road. "
        "Label is law. Reply STOP to end"
    )


def test_only_who_has_a_field_that_changed_hears_of_it() -> None:
    people = [
        person(Role.GROWER, id="odell", grower_ids=("odell",)),
        person(Role.GROWER, id="ruhl", grower_ids=("ruhl",)),
        person(Role.DISPATCHER),
    ]
    after = now(wait(NORTH, "T. O'Dell"), spray(GIN, "Ruhl & Sons", 1))

    told = write_corrections(SENT, after, people, STOP)

    assert [one.person.id for one in told] == ["odell", "p-dispatcher"]
    assert "Gin Road" not in told[0].text + told[0].html + (told[0].sms or "")


def test_a_text_message_names_what_fits_and_counts_the_rest() -> None:
    fields = [field(n, f"Quarter Section Number {n}", "odell") for n in range(40)]
    sent = morning(*(spray(one, "T. O'Dell", n + 1) for n, one in enumerate(fields)))
    after = now(*(wait(one, "T. O'Dell") for one in fields))

    (digest,) = write_corrections(sent, after, [person(Role.OPERATOR)], STOP)

    assert digest.sms is not None
    assert segments(digest.sms) <= 2
    shown = digest.sms.count("Quarter Section")
    assert f"+{40 - shown} more" in digest.sms
    assert digest.sms.endswith("Label is law. Reply STOP to end")


def test_a_correction_that_cannot_be_written_still_withdraws_everything() -> None:
    broken = wait(NORTH, "T. O'Dell").model_copy(update={"reasons": ("Rain nan in",)})

    (digest,) = write_corrections(
        SENT, now(broken, spray(GIN, "Ruhl & Sons", 1)), [person(Role.OPERATOR)], STOP
    )

    assert digest.faults
    assert "no longer holds: do not spray by it" in digest.text
    assert "do not spray" in (digest.sms or "")
    assert STOP in digest.text


def test_its_mail_has_a_name_of_its_own_and_refers_to_the_first() -> None:
    settings = MailSettings(host="x", sender="spray@example.org")
    (digest,) = write_corrections(
        SENT, now(wait(NORTH, "T. O'Dell")), [person(Role.OPERATOR)], STOP
    )

    text = mail_bytes(digest, settings, LATER, "bea@example.com").decode()
    first = message_id("p-operator", digest.local_date, "morning", 0, "spray@example.org")

    assert f"References: {first}" in text
    assert f"Message-ID: {first}" not in text
    assert "Message-ID: <2026-10-06.correction.r0." in text


def test_a_quiet_day_has_no_correction() -> None:
    assert write_corrections(full_morning(), full_morning(), [person(Role.OPERATOR)], STOP) == ()
