"""`explain` tells what drift would hurt beside a field."""

import pytest

from scheduler.explanation import Evidence, explain


@pytest.mark.parametrize("entered", ["organic melons east side", None])
def test_a_sensitive_neighbour_is_told_under_the_call(report, entered):
    call = report.fields[1]
    told = call.model_copy(update={"field": call.field.model_copy(update={"sensitive": entered})})
    lines = explain(Evidence(report, told))[0].lines
    assert ("mind beside it: organic melons east side" in lines) is (entered is not None)
