"""Which answers tell the time, and what a forecast says of its issue."""

from datetime import UTC, datetime

import pytest

from forecasts.issue_time import believed_issue
from forecasts.times_told import TimesTold, listener, listening

NOW = datetime(2026, 10, 6, 11, tzinfo=UTC)
# RFC 9110, 5.6.7: the form of dates in HTTP.
SENT = "Tue, 06 Oct 2026 10:59:58 GMT"


@pytest.fixture
def heard() -> TimesTold:
    return TimesTold(lambda: NOW)


@pytest.mark.parametrize("status", [200, 203, 304])
def test_an_answer_made_for_us_tells_the_time_of_its_host(heard, status):
    heard.of_answer("a.example", status, {"Date": SENT})
    (one,) = heard.told
    assert (one.host, one.ours_utc) == ("a.example", NOW)
    assert one.theirs_utc == datetime(2026, 10, 6, 10, 59, 58, tzinfo=UTC)


@pytest.mark.parametrize(
    ("status", "headers"),
    [
        pytest.param(200, {"Date": SENT, "Age": "1800"}, id="kept by somebody on its way"),
        pytest.param(200, {}, id="no date"),
        pytest.param(200, {"Date": "yesterday"}, id="no date that can be read"),
        pytest.param(302, {"Date": SENT}, id="a page that sends us elsewhere"),
        pytest.param(503, {"Date": SENT}, id="something that stands for the service"),
    ],
)
def test_other_answers_do_not_count(heard, status, headers):
    heard.of_answer("a.example", status, headers)
    assert heard.told == []


def test_an_issue_is_heard_of_though_it_is_not_believed(heard):
    with listening(heard):
        assert believed_issue("2026-10-07T09:00:00+00:00", NOW)[0] is None
        believed_issue("2026-10-06T09:00:00+00:00", NOW)
    assert heard.newest_issue_utc == datetime(2026, 10, 7, 9, tzinfo=UTC)
    assert listener() is None
