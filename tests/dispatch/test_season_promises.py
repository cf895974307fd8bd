"""What the effect promises of simulated sprays is about what they give."""

import pytest

from dispatch.season import promises as of
from dispatch.season.promises import DAYS_AHEAD, promises


def test_a_spray_of_today_gives_about_what_is_promised(monkeypatch):
    # Few mornings, so that it is quick: the spread of 30 seasons is about 3 points.
    monkeypatch.setattr(of, "EVERY_DAYS", 20)
    told = promises(606, 30)
    assert tuple(one.days_ahead for one in told) == DAYS_AHEAD
    assert told[0].came_pct == pytest.approx(told[0].promised_pct, abs=8)
    assert told[0].came_pct > told[-1].came_pct
    assert len({one.sprays for one in told}) == 1
