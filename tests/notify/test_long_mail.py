"""A mail so long that a mail program may cut its end."""

from farm.people import Role
from notify.compose import FULL_CARDS
from notify.digest import write_digest
from tests.notify.mornings import STOP, field, morning, person, spray


def test_the_caution_stands_at_the_top_and_later_fields_are_rows() -> None:
    fields = [
        spray(field(number, f"Field {number}", "odell"), "T. O'Dell", number)
        for number in range(1, 61)
    ]
    html = write_digest(morning(*fields), person(Role.OPERATOR), STOP).html

    assert html.index("The label is the law") < html.index("SPRAY NEXT") < 20_000
    assert html.count("<h3") == FULL_CARDS
    assert all(f"Field {number}<" in html for number in range(1, 61))
    assert len(html) < 130_000
