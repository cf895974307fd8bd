"""The stops of the rigs in the digests of a morning, on the demo's farm."""

import json
import re
import shutil
from dataclasses import replace
from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest

from dispatch.report import Call
from dispatch.routes.settings import RouteSettings
from farm.rig import Rig
from notify.correction import write_corrections
from notify.digest import write_digest, write_digests
from notify.stops_check import stop_faults
from scheduler import morning, rigs_of_morning
from scheduler.morning import decide_morning, send_morning
from scheduler.opening import open_farm
from scheduler.rigs_of_morning import rig_planner
from scheduler.standing_rigs import in_digest

CHICAGO = ZoneInfo("America/Chicago")
STOP = "To stop these mails: answer this mail with the word STOP."


@pytest.fixture(scope="module")
def decided(demo_once, tmp_path_factory):
    """The demo's morning with its rigs, and the people of the farm by id."""
    folder = tmp_path_factory.mktemp("rigs") / "demo"
    shutil.copytree(demo_once, folder)
    with open_farm(folder / "farm.toml") as farm:
        planner = rig_planner(farm, lambda: farm.now)
        run = decide_morning(farm.config, farm.stores, farm.now, rigs=planner)
        return run, {one.id: one for one in farm.config.settings.people}


@pytest.fixture
def farm(demo_once, tmp_path):
    """A copy of the demo's farm that no plan of rigs is kept of, opened."""
    shutil.copytree(demo_once, tmp_path / "demo")
    with open_farm(tmp_path / "demo" / "farm.toml") as farm:
        yield farm


def text_of(run, person_id: str) -> str:
    return next(one.text for one in run.digests if one.person.id == person_id)


def block_of(text: str, heading: str) -> str:
    return text.partition(f"\n{heading} (")[2].partition("\n\n")[0]


def test_a_driver_reads_their_own_stops_of_today_in_order_and_tomorrows_first(decided):
    run, _ = decided
    block = block_of(text_of(run, "dell"), "YOUR STOPS")
    days = [one for one in run.rigs.plan.days if one.driver == "Dell Ransome"]
    today = [one for one in days if one.on == run.report.run.local_date]
    told = re.findall(r"^  (\d)  (.+?)   spray (.+?) to ", block, re.MULTILINE)

    assert [name for _, name, _ in told] == [stop.field_name for stop in today[0].stops]
    for (_, _, said), stop in zip(told, today[0].stops, strict=True):
        wall = stop.start_utc.astimezone(CHICAGO)
        assert said == f"{wall:%I:%M %p}".lstrip("0").lower().replace(":00", "")
    assert f"Tomorrow first: {days[1].stops[0].field_name}" in block
    others = {
        stop.field_name for one in run.rigs.plan.days if one not in days for stop in one.stops
    }
    assert others
    assert not any(name in block for name in others)
    assert "Leave 9:21 am, 2.8 mi" in block
    assert "loads 1200 + 672" in block  # 156 ac at 12 gal/ac are 1,872 gal, in tanks of 1,200


def test_a_dispatcher_reads_a_line_for_each_rigs_day_and_what_is_not_covered(decided):
    run, people = decided
    left = run.rigs.plan.model_copy(
        update={
            "days": run.rigs.plan.days[:-1],
            "left_out": tuple(rigs_left(stop) for stop in run.rigs.plan.days[-1].stops),
        }
    )
    told = write_digest(run.report, people["wade"], STOP, rigs=replace(run.rigs, plan=left))
    block = block_of(told.text, "THE RIGS")

    assert block.count(" drives. Out ") == len(left.days)
    assert "Not covered   " in block
    assert "every rig is busy" in " ".join(block.split())


def rigs_left(stop):
    from dispatch.routes.plan import LeftOut

    return LeftOut(
        field_id=stop.field_id,
        field_name=stop.field_name,
        acres=stop.acres,
        why="every rig is busy where it brings more",
        would_change="one more rig",
    )


@pytest.mark.parametrize("person", ["june", "ivy"])
def test_nobody_else_is_told_of_the_rigs(decided, person):
    run, _ = decided
    told = next(one for one in run.digests if one.person.id == person)

    assert told.faults == ()
    for words in (told.text, told.html):
        assert "STOPS" not in words
        assert "THE RIGS" not in words
        assert "Posy Windham" not in words


def faults_of(run, people, person_id, text=None, html=None, rigs=None, report=None):
    good = next(one for one in run.digests if one.person.id == person_id)
    return stop_faults(
        good.text if text is None else text,
        good.html if html is None else html,
        people[person_id],
        report or run.report,
        rigs or run.rigs,
    )


def test_the_stops_as_they_went_out_pass_their_check(decided):
    run, people = decided
    assert [faults_of(run, people, one) for one in people] == [[]] * len(people)
    assert all(one.stop_faults == () for one in run.digests)


@pytest.mark.parametrize(
    ("was", "becomes", "fault"),
    [
        ("1  Windmill Quarter   spray", "1  Old Orchard   spray", "1 Windmill Quarter"),
        ("spray 10 am to", "spray 10 pm to", "1 Windmill Quarter"),
        (" SHORT\n    Leave", "\n    Leave", "Creek Bottom"),
        ("156 ac, ", "nan ac, ", "'nan'"),
        ("YOUR STOPS (3)", "STOPS", "not told"),
        ("  2  Old Orchard", "  Old Orchard", "2 Old Orchard"),
    ],
)
def test_words_that_tell_other_stops_than_the_plan_are_found(decided, was, becomes, fault):
    run, people = decided
    text = text_of(run, "dell")
    assert was in text
    found = faults_of(run, people, "dell", text=text.replace(was, becomes))
    assert any(fault in one for one in found), found


def test_a_stop_in_the_mail_alone_is_found_too(decided):
    run, people = decided
    html = next(one.html for one in run.digests if one.person.id == "dell")
    found = faults_of(run, people, "dell", html=html.replace("spray 10 am", "spray 11 am"))
    assert found == ["stops: html does not tell 1 Windmill Quarter as it is planned"]


def test_stops_told_to_a_grower_are_found(decided):
    run, people = decided
    found = faults_of(run, people, "june", text=text_of(run, "dell"))
    assert found == ["stops: told to somebody who neither drives a rig nor sends them"]


def test_stops_of_another_driver_are_found(decided):
    run, people = decided
    of_posy = people["dell"].model_copy(update={"name": "Posy Windham", "id": "posy"})
    told = write_digest(run.report, people["dell"], STOP, rigs=run.rigs)
    assert stop_faults(told.text, told.html, of_posy, run.report, run.rigs)


def withdrawn(report, name: str):
    """The same morning with a field not known any more."""
    fields = tuple(
        one.model_copy(update={"call": Call.UNKNOWN, "rank": None, "windows": ()})
        if one.field.name == name
        else one
        for one in report.fields
    )
    return report.model_copy(update={"fields": fields})


def test_a_stop_that_is_not_called_for_is_found_and_one_with_late_hours(decided):
    run, people = decided
    found = faults_of(run, people, "dell", report=withdrawn(run.report, "Old Orchard"))
    assert "stops: Old Orchard is not called for spraying" in found

    day = next(one for one in run.rigs.plan.days if one.driver == "Dell Ransome")
    late = day.stops[0].model_copy(update={"end_utc": day.stops[0].by_utc + timedelta(hours=3)})
    days = (day.model_copy(update={"stops": (late, *day.stops[1:])}),)
    plan = run.rigs.plan.model_copy(update={"days": days})
    found = faults_of(run, people, "dell", rigs=replace(run.rigs, plan=plan))
    assert "stops: Windmill Quarter ends after its window closes" in found


def test_stops_that_do_not_hold_are_left_out_and_the_digest_goes_out(decided):
    run, people = decided
    unbacked = [
        one.model_copy(update={"season": None}) if one.field.name == "Old Orchard" else one
        for one in run.report.fields
    ]
    report = run.report.model_copy(update={"fields": tuple(unbacked)})
    (told,) = write_digests(report, [people["dell"]], STOP, rigs=run.rigs)

    assert told.faults == ()
    assert told.stop_faults
    assert "YOUR STOPS (no plan)\n  Not shown, for it did not pass its check" in told.text
    assert "SPRAY NEXT (9 fields" in told.text


def test_a_plan_that_fails_costs_its_lines_alone(farm, monkeypatch):
    def broken(*_):
        raise RuntimeError("no plan today")

    monkeypatch.setattr(rigs_of_morning, "searched", broken)
    run = decide_morning(
        farm.config, farm.stores, farm.now, rigs=rig_planner(farm, lambda: farm.now)
    )
    told = text_of(run, "dell")

    assert "YOUR STOPS (no plan)\n  Not planned: it failed" in told
    assert "SPRAY NEXT (9 fields" in told
    assert all(one.faults == () for one in run.digests)


def test_no_time_before_the_deadline_costs_the_stops_alone(farm):
    planner = rig_planner(farm, lambda: farm.now, farm.now + timedelta(seconds=3))
    run = decide_morning(farm.config, farm.stores, farm.now, rigs=planner)

    assert "YOUR STOPS (no plan)\n  Not planned: no time was left" in text_of(run, "dell")
    assert "SPRAY NEXT (9 fields" in text_of(run, "dell")


def sent(farm, between=lambda plan: None):
    run = decide_morning(
        farm.config, farm.stores, farm.now, rigs=rig_planner(farm, lambda: farm.now)
    )
    between(run.rigs.plan)
    send_morning(run, farm.config, farm.stores, {}, farm.now, "me")
    return run


def test_the_plan_is_kept_with_the_morning(farm):
    before = farm.stores.route_plans.next_revision()
    run = sent(farm)
    kept = farm.stores.route_plans.latest()

    assert kept.revision == before == run.rigs.plan.revision
    assert kept.days == run.rigs.plan.days
    assert kept.morning_utc == run.report.run.made_utc
    assert kept.basis


def test_a_morning_that_is_not_kept_keeps_no_plan_of_rigs(farm, monkeypatch):
    before = farm.stores.route_plans.next_revision()

    def broken(*_):
        raise RuntimeError("the disk is full")

    monkeypatch.setattr(farm.stores.freezes, "add_all", broken)
    with pytest.raises(RuntimeError, match="disk"):
        sent(farm)
    assert farm.stores.route_plans.next_revision() == before


def test_a_plan_that_another_has_overtaken_is_neither_kept_nor_told(farm, monkeypatch):
    kept, told = [], []
    messages_of = morning.messages_of

    def overheard(run, *rest, **more):
        told.append(text_of(run, "dell"))
        return messages_of(run, *rest, **more)

    monkeypatch.setattr(morning, "messages_of", overheard)
    sent(farm, lambda plan: kept.append(farm.stores.route_plans.keep(plan, farm.now)))

    assert farm.stores.route_plans.latest().uuid == kept[0].uuid
    assert "another plan was made meanwhile" in " ".join(told[-1].split())
    assert "1  Windmill Quarter   spray" not in told[-1]
    assert "SPRAY NEXT (9 fields" in told[-1]


def test_a_correction_says_to_driver_and_dispatcher_which_stop_falls_away(decided):
    run, people = decided
    later = withdrawn(run.report, "Windmill Quarter")
    told = {
        one.person.id: " ".join(one.text.split())
        for one in write_corrections(run.report, later, people.values(), STOP, rigs=run.rigs)
    }

    assert "Your stop there falls away: Ninety-foot sprayer, today 10 am." in told["dell"]
    assert "The stop there falls away: Ninety-foot sprayer, today 10 am; plan anew" in told["wade"]
    assert "Windmill Quarter: now not known" in told["june"]  # her own field
    assert "falls away" not in told["june"] + told["ivy"]


@pytest.mark.parametrize(
    ("told", "more", "wanted"),
    [
        (None, {}, False),
        (None, {"drivers": ["Dell"]}, True),
        (None, {"yard_latitude": 34.0, "yard_longitude": -100.0}, True),
        (False, {"drivers": ["Dell"]}, False),
        (True, {}, True),
    ],
)
def test_digests_tell_of_rigs_where_it_makes_sense_or_where_set(told, more, wanted):
    rig = Rig(id="wide", name="Wide", speed_mph=12, swath_ft=90, **more)
    assert in_digest(RouteSettings(in_digest=told), (rig,)) is wanted
    assert not in_digest(RouteSettings(in_digest=told), ())


def test_a_morning_written_to_a_folder_has_the_plan_beside_it(demo_once):
    plan = json.loads((demo_once / "digests" / "routes.json").read_text())["routes"]
    assert {"days", "left_out", "revision"} <= set(plan)
    assert "NaN" not in (demo_once / "digests" / "routes.json").read_text()


def test_a_farm_too_large_to_plan_in_what_is_left_gets_its_digest_without_stops(farm, monkeypatch):
    monkeypatch.setattr(rigs_of_morning, "BESIDE_S", 60.0)
    planner = rig_planner(farm, lambda: farm.now, farm.now + timedelta(minutes=35))
    run = decide_morning(farm.config, farm.stores, farm.now, rigs=planner)
    assert "Not planned: no time was left" in text_of(run, "dell")
