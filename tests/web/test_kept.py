"""What is made from a plan is made once, however many ask at once."""

import threading
import time
from typing import Any, cast

import pytest

from dispatch.report import MorningReport
from web.kept import MOST, KeptByPlan


def plan() -> MorningReport:
    return cast(MorningReport, object())


def test_many_who_ask_at_once_wait_for_one_making():
    kept: KeptByPlan[str] = KeptByPlan()
    report, made, got = plan(), [], []
    begin = threading.Barrier(8)

    def make() -> str:
        made.append(1)
        time.sleep(0.05)
        return "page"

    def ask() -> None:
        begin.wait()
        got.append(kept.of(report, "all", make))

    threads = [threading.Thread(target=ask) for _ in range(8)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert got == ["page"] * 8
    assert len(made) == 1


def test_another_plan_is_made_anew_and_so_is_what_failed():
    kept: KeptByPlan[str] = KeptByPlan()
    report = plan()

    def broken() -> str:
        raise RuntimeError("not now")

    with pytest.raises(RuntimeError, match="not now"):
        kept.of(report, "all", broken)
    assert kept.of(report, "all", lambda: "page") == "page"
    assert kept.of(report, "all", lambda: "never made") == "page"
    assert kept.of(plan(), "all", lambda: "newer") == "newer"


def test_no_more_is_kept_than_a_few_hundred_things():
    kept: KeptByPlan[Any] = KeptByPlan()
    report = plan()
    for number in range(3 * MOST):
        kept.of(report, number, lambda number=number: number)
    assert len(kept._made) <= MOST
