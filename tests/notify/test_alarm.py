"""What operators are told when people may not have been."""

from mornings import STOP, TODAY, person

from farm.people import Role
from notify.alarm import write_alarms
from notify.gsm7 import segments

PEOPLE = [person(Role.OPERATOR), person(Role.GROWER), person(Role.OPERATOR, id="two", phone=None)]


def alarms(*lines: str):
    return write_alarms("missed", lines, "Sandhill Co-op", TODAY, PEOPLE, STOP)


def test_every_operator_and_nobody_else_is_told_by_every_channel_they_have() -> None:
    told = alarms("the morning was missed: nothing was sent")

    assert [one.person.id for one in told] == ["p-operator", "two"]
    assert {one.kind for one in told} == {"alarm-missed"}
    assert told[0].subject == (
        "ALARM Tue 6 Oct: the morning was missed: nothing was sent (Sandhill Co-op)"
    )
    assert told[0].sms == "ALARM Tue 6 Oct: the morning was missed: nothing was sent"
    assert told[1].sms is None
    assert "tell them yourself" in told[0].text
    assert STOP in told[0].text


def test_many_lines_are_told_up_to_a_page_and_then_counted() -> None:
    (first, _) = alarms(*(f"mail to p{n}: answered 550 \u00fc{{x}}" for n in range(200)))

    assert first.text.count("answered 550") == 30
    assert "and 170 more; see the log" in first.text
    assert segments(first.sms or "") == 1
    assert "{" not in first.text + (first.sms or "")


def test_a_long_line_fits_into_one_text_message() -> None:
    (first, _) = alarms("x" * 500)

    assert segments(first.sms or "") == 1
    assert len(first.subject) < 200
