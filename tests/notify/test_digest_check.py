"""The second look at a digest, and the notice that goes out in its place."""

import pytest
from mornings import STOP, call, field, full_morning, morning, person, spray

from dispatch.report import Call
from farm.people import Role
from notify.digest import write_digest, write_digests
from notify.digest_check import Words, faults_in


def words(role: Role = Role.OPERATOR) -> Words:
    digest = write_digest(full_morning(), person(role), STOP)
    return Words(digest.subject, digest.text, digest.html, digest.sms)


def faults(told: Words, role: Role = Role.OPERATOR) -> str:
    return "; ".join(faults_in(told, full_morning(), person(role), STOP, 2))


@pytest.mark.parametrize("role", list(Role))
def test_a_good_digest_passes(role: Role) -> None:
    assert faults(words(role), role) == ""


@pytest.mark.parametrize("left", ["nan", "None", "{{", "Undefined", "inf"])
def test_a_value_that_was_not_filled_in_is_found(left: str) -> None:
    good = words()
    spoiled = Words(good.subject, f"{good.text} rain {left} h", good.html, good.sms)

    assert "text: holds" in faults(spoiled)


@pytest.mark.parametrize(
    ("cut", "what"),
    [("The label is the law", "caution"), (STOP, "way to stop"), ("Forecast:", "forecast line")],
)
def test_a_missing_line_is_found(cut: str, what: str) -> None:
    good = words()
    spoiled = Words(good.subject, good.text.replace(cut, ""), good.html, good.sms)

    assert f"text: no {what}" in faults(spoiled)


def test_a_neighbours_name_is_found() -> None:
    good = words(Role.GROWER)
    spoiled = Words(good.subject, good.text, good.html + "<p>Cottonwood 3</p>", good.sms)

    assert "html: names another grower" in faults(spoiled, Role.GROWER)


def test_too_many_message_parts_are_found() -> None:
    good = words()
    spoiled = Words(good.subject, good.text, good.html, "x" * 307)

    assert "sms: takes 3 parts" in faults(spoiled)


def test_counts_that_do_not_add_up_are_found() -> None:
    report = morning(spray(field(1, "East", "a"), "A", 1), counts={Call.SPRAY: 2})
    digest = write_digest(report, person(Role.OPERATOR), STOP)
    told = Words(digest.subject, digest.text, digest.html, digest.sms)

    found = faults_in(told, report, person(Role.OPERATOR), STOP, 2)

    assert found == ("counts: the five calls do not add up to the fields of this morning",)


def test_fields_called_none_or_nan_do_not_stop_a_digest() -> None:
    report = morning(
        spray(field(1, "None", "a"), "Nan Inf", 1), spray(field(2, "nan", "a"), "Undefined", 2)
    )

    assert write_digests(report, [person(Role.CONSULTANT)], STOP)[0].faults == ()


def test_a_fault_sends_a_notice_without_any_call_and_the_others_get_theirs() -> None:
    poisoned = call(
        field(1, "North Draw", "odell"), Call.SPRAY, "T. O'Dell", rank=1, reasons=("Rain nan in",)
    )
    report = morning(poisoned, spray(field(2, "Gin Road", "ruhl"), "Ruhl & Sons", 2))
    hit, clear = write_digests(
        report,
        [person(Role.OPERATOR), person(Role.GROWER, id="r", grower_ids=("ruhl",))],
        STOP,
    )

    assert hit.faults
    assert hit.subject == "Tue 6 Oct: no list this morning (Sandhill Co-op)"
    assert "No spray calls today" in hit.text
    assert STOP in hit.text
    assert "North Draw" not in hit.text + hit.html + (hit.sms or "")
    assert clear.faults == ()
    assert "Gin Road" in clear.text


def test_a_digest_that_cannot_be_written_is_a_notice_too() -> None:
    broken = spray(field(1, "East", "a", zone="Nowhere/Land"), "A", 1)
    digest = write_digests(morning(broken), [person(Role.OPERATOR, phone=None)], STOP)[0]

    assert digest.faults[0].startswith("ZoneInfoNotFoundError")
    assert digest.sms is None
