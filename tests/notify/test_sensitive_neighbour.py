"""What drift would hurt beside a field is told wherever the field is sent to be sprayed."""

import pytest
from mornings import STOP, field, morning, person, spray

from farm.people import Role
from notify.digest import write_digest


@pytest.mark.parametrize("role", list(Role))
def test_everybody_who_reads_of_a_spray_reads_of_its_sensitive_neighbour(role: Role) -> None:
    told = field(1, "North Draw", "odell").model_copy(
        update={"sensitive": "organic melons <b>east</b>\nside"}
    )
    digest = write_digest(morning(spray(told, "T. O'Dell", 1)), person(role), STOP)
    assert "Mind beside it: organic melons <b>east</b> side." in " ".join(digest.text.split())
    assert "Mind beside it: organic melons &lt;b&gt;east&lt;/b&gt; side." in digest.html


def test_a_field_with_nothing_entered_says_nothing_of_it() -> None:
    report = morning(spray(field(1, "North Draw", "odell"), "T. O'Dell", 1))
    assert "Mind beside it" not in write_digest(report, person(Role.OPERATOR), STOP).text
