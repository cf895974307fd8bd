"""Freeze alerts and the further look, as people are told of them."""

import pytest
from hypothesis import given
from hypothesis import strategies as some
from mornings import (
    STOP,
    at,
    field,
    freeze,
    full_morning,
    morning,
    person,
    spray,
    sprayed,
    wait,
)

from dispatch.report import FreezeAlertFigures, FurtherFigures, MorningReport
from farm.people import Role
from notify.digest import write_digests
from notify.gsm7 import segments
from notify.sms import sms_text

OPEN_METEO = "Open-Meteo.com (CC BY 4.0)"


def watch(**more) -> FreezeAlertFigures:
    told = {
        "event": "Freeze Watch",
        "onset_utc": at(7, 2),
        "ends_utc": at(7, 9),
        "sender": "NWS Sandhill",
        "headline": "Freeze Watch until Wednesday",
    }
    return FreezeAlertFigures(**(told | more))


def further(**more) -> FurtherFigures:
    told = {
        "source": OPEN_METEO,
        "issued_utc": at(6, 2),
        "age_mark": "fresh",
        "from_utc": at(13, 19),
        "through_utc": at(22, 6),
        "low_f": 29.4,
        "low_utc": at(18, 6),
        "first_utc": at(17, 5),
        "rain_in": 0.4,
    }
    return FurtherFigures(**(told | more))


def under(*alerts, of: int = 3, ahead=None, first=None) -> MorningReport:
    """Three fields to wait for, the first ``of`` of them under the alerts."""
    calls = [wait(field(n, f"West {n}", "odell"), "T. O'Dell") for n in range(3)]
    told = [
        one.model_copy(
            update={
                "alerts": tuple(alerts) if place < of else (),
                "further": first if place == 0 and first else ahead,
            }
        )
        for place, one in enumerate(calls)
    ]
    return morning(*told)


def digest(report, role=Role.OPERATOR):
    (told,) = write_digests(report, [person(role)], STOP)
    assert told.faults == ()
    return told


def lines(report, role=Role.OPERATOR) -> str:
    return " ".join(digest(report, role).text.split())


def test_an_alert_is_one_line_with_its_hours_and_its_fields():
    text = lines(under(watch(), of=2))
    assert "Freeze Watch by NWS Sandhill: Wed 2 am to 9 am, 2 of 3 fields." in text
    assert (
        "Freeze Watch by NWS Sandhill: Wed 2 am to 9 am, 2 of 3 fields."
        in digest(under(watch(), of=2)).html
    )


def test_an_alert_for_all_fields_counts_none():
    assert "Freeze Watch by NWS Sandhill: Wed 2 am to 9 am." in lines(under(watch()))


def test_messages_that_tell_the_same_are_one_line_and_others_are_not():
    warning = watch(event="Freeze Warning", onset_utc=at(6, 23), ends_utc=at(7, 9))
    same = watch(headline="Another message of the same")
    text = lines(under(watch(), same, warning))

    assert text.count("Freeze Watch by") == 1
    # The soonest first.
    assert text.index("Freeze Warning by NWS Sandhill: Tue 11 pm to Wed 9 am.") < text.index(
        "Freeze Watch by"
    )


@pytest.mark.parametrize(
    ("hours", "words"),
    [
        ({"ends_utc": None}, "Freeze Watch by NWS Sandhill: from Wed 2 am."),
        ({"onset_utc": None}, "Freeze Watch by NWS Sandhill: until Wed 9 am."),
        (
            {"onset_utc": None, "ends_utc": None},
            "Freeze Watch by NWS Sandhill: its hours are not told.",
        ),
    ],
)
def test_hours_that_are_not_told_are_not_made_up(hours, words):
    assert words in lines(under(watch(**hours)))


@pytest.mark.parametrize("sender", ["", "{%", "<b>NWS</b>", "nan", "NWS None", "null", "\x1b[2J"])
def test_a_sender_that_is_none_is_left_out_and_costs_nobody_the_digest(sender):
    text = lines(under(watch(sender=sender)))
    assert "Freeze Watch: Wed 2 am to 9 am." in text


@given(sender=some.text(max_size=80), headline=some.text(max_size=80))
def test_whatever_a_service_writes_the_digest_passes_its_check(sender, headline):
    digest(under(watch(sender=sender, headline=headline), ahead=further()))


@pytest.mark.parametrize("role", list(Role))
def test_where_there_is_no_alert_nothing_is_said_of_any(role):
    told = digest(full_morning(), role)
    for words in (told.text, told.html, told.sms or ""):
        assert "alert" not in words.lower().replace("onerror=alert", "")
        assert "Watch" not in words
        assert "Further ahead" not in words


def test_alerts_that_are_not_known_are_not_read_as_none():
    report = under()
    lost = [one.model_copy(update={"alerts_problem": "no answer"}) for one in report.fields]
    assert digest(morning(*lost)).text == digest(report).text


def test_a_grower_is_told_of_alerts_and_not_of_the_further_look():
    text = lines(under(watch(), ahead=further()), Role.GROWER)
    assert "Freeze Watch by NWS Sandhill" in text
    assert "Further ahead" not in text


def test_the_further_look_is_one_line_that_says_it_is_no_part_of_any_call():
    text = lines(under(ahead=further()))
    assert (
        f"Further ahead by {OPEN_METEO}, no part of any call: first freeze seen Sat 17 Oct 5 am, "
        "coldest 29F Sun 18 Oct, through Thu 22 Oct 6 am." in text
    )


def test_of_several_fields_the_earliest_the_coldest_and_the_least_far_are_told():
    other = further(
        first_utc=at(16, 4), killing_utc=at(19, 5), low_f=27.0, low_utc=at(19, 5),
        through_utc=at(21, 6),
    )  # fmt: skip
    text = lines(under(ahead=further(), first=other))
    assert (
        "first freeze seen Fri 16 Oct 4 am, first killing freeze seen Mon 19 Oct 5 am, "
        "coldest 27F Mon 19 Oct, through Wed 21 Oct 6 am." in text
    )


def test_no_freeze_seen_is_said_by_a_fresh_look_alone():
    mild = further(first_utc=None, low_f=36.0)
    assert "no part of any call: no freeze seen, coldest 36F Sun 18 Oct, through" in lines(
        under(ahead=mild)
    )
    old = further(first_utc=None, low_f=36.0, age_mark="old")
    assert "no part of any call: coldest 36F Sun 18 Oct, through" in lines(under(ahead=old))
    assert "no part of any call: coldest 36F" in lines(under(ahead=mild, first=old))
    # What is old still shows a freeze.
    frozen = further(age_mark="old")
    assert "first freeze seen Sat 17 Oct 5 am" in lines(under(ahead=frozen))


def test_a_further_look_that_failed_is_not_known():
    lost = FurtherFigures(source=OPEN_METEO, problem="no answer")
    assert f"Further ahead by {OPEN_METEO}, no part of any call: not known." in lines(
        under(ahead=lost)
    )
    assert "through Thu 22 Oct 6 am (1 field not known)." in lines(
        under(ahead=further(), first=lost)
    )


def test_fields_that_are_sprayed_are_not_counted():
    done = sprayed(field(9, "Home", "odell"), "T. O'Dell", due_today=True)
    report = under(watch())
    assert "Wed 2 am to 9 am." in lines(morning(*report.fields, done))


def test_a_text_message_tells_the_soonest_alert_where_it_fits():
    text = sms_text(under(watch(), watch(event="Freeze Warning", onset_utc=at(8, 2))), _OPERATOR)
    assert "Freeze Watch Wed 2am to 9am +1. Label is law." in text
    assert segments(text) <= 2


def test_an_alert_takes_no_name_out_of_a_text_message():
    fields = [spray(field(n, f"Long Draw Number {n}", "a"), "A", n) for n in range(1, 31)]
    plain = sms_text(morning(*fields), _OPERATOR)
    told = [one.model_copy(update={"alerts": (watch(),)}) for one in fields]
    assert sms_text(morning(*told), _OPERATOR) == plain


_OPERATOR = person(Role.OPERATOR)


@given(
    count=some.integers(1, 14),
    most=some.integers(1, 3),
    name=some.text(min_size=1, max_size=30),
)
def test_with_an_alert_the_text_still_fits_and_keeps_what_matters(count, most, name):
    cold = freeze(first_utc=at(14, 4), low_f=27.6, low_utc=at(14, 5))
    fields = [spray(field(n, name, "a"), "A", n, freeze=cold) for n in range(1, count + 1)]
    told = [one.model_copy(update={"alerts": (watch(),)}) for one in fields]
    text = sms_text(morning(*told), _OPERATOR, most)
    plain = sms_text(morning(*fields), _OPERATOR, most)

    assert segments(text) <= most
    assert text.replace("Freeze Watch Wed 2am to 9am. ", "") == plain
