"""Looks that fail, hang, or find something: each on its own line, none hiding another."""

import threading
import time

import pytest

from scheduler.doctor import Check, exit_code, fault, lines, look, look_at_all, ok


def _raises() -> None:
    raise RuntimeError("password=hunter2")


def test_a_look_that_hangs_or_breaks_hides_no_other():
    forever = threading.Event()
    began_s = time.monotonic()
    looked = look_at_all(
        [
            Check("hangs", lambda: forever.wait() and ok("never"), 4, longest_s=0.3),
            Check("breaks", _raises, 69),
            Check("works", lambda: ok("fine"), 74),
            Check("doubts", lambda: look("some time"), 74),
        ]
    )

    assert time.monotonic() - began_s < 5
    assert [one.finding.word for one in looked] == ["FAULT", "FAULT", "OK", "LOOK"]
    assert "no answer within 0.3 s" in looked[0].finding.told
    assert looked[1].finding.told == "the look itself failed (RuntimeError)"
    # 4 is graver than 69 in the order of the exit codes.
    assert exit_code(looked) == 4


@pytest.mark.parametrize(
    ("found", "code"),
    [
        pytest.param([ok("a"), look("b")], 0, id="a look is no fault"),
        pytest.param([fault("a", 69), fault("b", 74)], 74, id="the database is graver"),
        pytest.param([fault("a", 74), fault("b", 78)], 78, id="the config is gravest"),
        pytest.param([], 0, id="nothing looked at"),
    ],
)
def test_the_gravest_code_is_told(found, code):
    checks = [Check(str(n), lambda one=one: one, 70) for n, one in enumerate(found)]
    assert exit_code(look_at_all(checks)) == code


def test_every_check_is_one_line_whatever_it_says():
    looked = look_at_all(
        [Check("a", lambda: look("one\ntwo"), 4), Check("long", lambda: ok("b"), 4)]
    )
    assert lines(looked) == ["LOOK   a     one two", "OK     long  b"]
