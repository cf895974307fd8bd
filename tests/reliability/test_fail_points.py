"""Fail, or be killed, at every effect of a morning, one after the other, until none is left."""

import json
from datetime import timedelta

import pytest

from storage.stores import open_stores
from tests.reliability.mill import START_UTC, killed

#: After a fault: the next start, then every wait that a retry may ask for.
RESTARTS_MIN = (2, 8, 25, 40)
#: Points tried in the short form, spread over all of them.
SHORT = 8


def settled(one) -> None:
    """Start again, later and later, until nothing is left to do."""
    for minutes in RESTARTS_MIN:
        assert one.run(at=START_UTC + timedelta(minutes=minutes)) == 0
        if not one.broken():
            return


def points_of(mill, at=START_UTC, whole=True) -> list[str]:
    """The effects of a process at a moment, which makes the ``whole`` morning or nothing of it."""
    one = mill()
    trail = one.folder / "trail.json"
    assert one.run(at=at, trail=str(trail)) == 0
    assert bool(one.broken()) is not whole
    points = json.loads(trail.read_bytes())
    return list(points)


@pytest.mark.fault("S01", "S02", "S03", "S04")
@pytest.mark.parametrize("mode", ["kill", "raise"])
def test_a_morning_survives_a_fault_at_every_effect(mill, mode, long, figure):
    names = points_of(mill)
    assert {name.split()[1] for name in names} == {"commit", "mail", "request", "file"}
    wanted = range(1, len(names) + 1)
    tried = wanted if long else wanted[:: max(1, len(names) // SHORT)]
    lost = {}
    for point in tried:
        one = mill()
        status = one.run(point=point, mode=mode)
        assert killed(status) if mode == "kill" else status == 0, (names[point - 1], one.log())
        half = one.half_kept()
        settled(one)
        broken = [*half, *one.broken()]
        if broken:
            lost[f"{point} {names[point - 1]}"] = (broken, one.log()[-2000:])
    told = f"points survived, {mode}: {len(tried) - len(lost)}/{len(tried)} of {len(names)}"
    figure(told)
    assert lost == {}


@pytest.mark.fault("D05", "S01")
@pytest.mark.parametrize("mode", ["kill", "raise"])
def test_a_visit_taken_back_under_faults_is_taken_back_whole_and_once(mill, mode):
    """Said to be taken back, it is; not said, it may be, and asked again it is harmless."""
    one = mill()
    with open_stores("warmspell.sqlite3", one.folder) as stores:
        visits = stores.visits.all()
    wrong = visits[0].uuid
    status, point = -9, 0
    while status != 0:
        point += 1
        assert point < 20
        one = mill()
        status = one.run("undo", record=str(wrong), point=point, mode=mode)
        said = " taken back (" in one.log()
        with open_stores("warmspell.sqlite3", one.folder) as stores:
            kept = [retraction.of_uuid for retraction in stores.retractions.all()]
            assert kept in ([], [wrong])
            assert kept or not said
            assert stores.visits.all() == visits
        assert one.run("undo", record=str(wrong)) == 0
        with open_stores("warmspell.sqlite3", one.folder) as stores:
            assert [retraction.of_uuid for retraction in stores.retractions.all()] == [wrong]
        assert one.half_kept() == []
    assert point > 1
