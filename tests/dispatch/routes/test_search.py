"""The search against trying everything, and against what a person would do."""

import random
import sys

import pytest
from by_force import Steps, best_gain_ac
from rig_farms import BARE, day, job, problem, rig, window

from dispatch.routes import planner
from dispatch.routes.greedy import greedy_routes, routes_gain_ac
from dispatch.routes.planner import NO_SEARCH, best_routes
from dispatch.routes.problem import RouteProblem
from dispatch.routes.work_classes import work_classes

pytest.importorskip("pyvrp", reason="the search is not installed")


def small_farm(seed: int) -> RouteProblem:
    """Five fields, two unlike rigs with tanks, two mixes, windows that overlap or do not."""
    drawn = random.Random(seed)
    tanks = {"tank_gal": 500, "refill_min": 20}
    rigs = [rig("a"), rig("b", swath_ft=drawn.choice([30, 60, 90]), **tanks)]
    jobs = []
    for number in range(5):
        acres = drawn.uniform(20, 120)
        windows = [
            window(opens, opens + drawn.uniform(1, 4), drawn.choice([50.0, 70.0, 90.0]))
            for opens in (drawn.uniform(0, 8) for _ in range(drawn.randint(1, 2)))
        ]
        at = (drawn.uniform(-15, 15), drawn.uniform(-15, 15))
        mix = drawn.choice(["aid-12", "aid-24"])
        gallons = acres * drawn.choice([4, 8])
        jobs.append(job(f"f{number}", at, acres, *windows, gallons=gallons, mix_id=mix))
    settings = BARE.model_copy(update={"setup_min": 5.0, "mile_cost_ac": 0.3})
    return problem(jobs, [day(one, 0, 10) for one in rigs], settings)


@pytest.mark.parametrize("seed", range(12))
def test_a_small_farm_is_planned_as_well_as_can_be(seed):
    asked = small_farm(seed)
    found = best_routes(asked, Steps(500))
    assert found.gain_ac == pytest.approx(best_gain_ac(asked), abs=0.05)


@pytest.mark.parametrize("seed", range(3))
def test_no_step_of_search_still_gives_no_less_than_by_hand(seed):
    asked = small_farm(seed)
    by_hand = routes_gain_ac(asked, greedy_routes(asked))
    for steps in (0, 1, 20):
        found = best_routes(asked, Steps(steps))
        assert found.gain_ac >= by_hand == pytest.approx(found.by_hand_gain_ac)


def test_the_same_seed_and_steps_give_the_same_plan():
    first, again = (best_routes(small_farm(3), Steps(200)) for _ in range(2))
    assert first.routes == again.routes


def test_without_the_search_the_plan_by_hand_stands_and_says_so(monkeypatch):
    monkeypatch.setitem(sys.modules, "pyvrp", None)
    asked = small_farm(1)
    found = best_routes(asked, Steps(200))
    assert (found.method, found.note) == ("greedy", NO_SEARCH)
    assert found.gain_ac >= routes_gain_ac(asked, greedy_routes(asked))


def test_a_rig_without_a_nurse_truck_goes_home_for_more_and_takes_both_fields():
    one = rig(tank_gal=500, refill_min=20, refill_at="yard")
    fields = [job(name, (5, 0), 50, window(0, 10), gallons=400) for name in ("one", "two")]
    found = best_routes(problem(fields, [day(one)]), Steps(200))
    assert sorted(visit.job for visit in found.routes[0]) == [0, 1]


def test_the_better_hour_is_taken_where_both_are_open():
    asked = problem([job("one", (0, 0), 60, window(0, 3, 60), window(6, 9, 90))], [day(rig())])
    assert [one.window for one in best_routes(asked, Steps(50)).routes[0]] == [1]


def test_a_field_not_worth_its_miles_is_left():
    asked = problem(
        [job("far", (60, 0), 10, window(0, 12), gallons=None)],
        [day(rig())],
        BARE.model_copy(update={"mile_cost_ac": 0.2}),
    )
    assert greedy_routes(asked) == ((),)
    assert best_routes(asked, Steps(50)).routes == ((),)


def test_no_more_than_three_classes_of_work_and_aircraft_apart():
    rigs = [rig(f"g{width}", swath_ft=width) for width in (30, 60, 61, 90, 91, 120)]
    asked = problem(
        [job("one", (0, 0), 60, window(0, 12))], [day(one) for one in (*rigs, rig("p", kind="air"))]
    )
    classes = work_classes(asked)
    assert len({classes[one.id] for one in rigs}) == 3
    assert classes["p"] not in {classes[one.id] for one in rigs}
    assert classes["g90"] == classes["g91"] == classes["g120"]


def test_two_sorts_of_rigs_keep_their_own_ends_of_windows():
    """The slow rig could not be done in time: with one class for both, nobody could."""
    fields = [job("one", (0, 0), 60, window(0, 1.5)), job("two", (0, 0), 60, window(0, 1.5))]
    rigs = [rig("quick", swath_ft=60), rig("slow", swath_ft=30)]
    found = best_routes(problem(fields, [day(one) for one in rigs]), Steps(100))
    assert [len(visits) for visits in found.routes] == [1, 0]


def test_a_search_that_comes_back_with_less_is_not_taken(monkeypatch):
    asked = small_farm(2)
    monkeypatch.setattr(planner, "searched_routes", lambda *_: ((),) * len(asked.rig_days))
    monkeypatch.setattr(planner, "fill_in", lambda _, routes: routes)
    found = best_routes(asked, Steps(10))
    assert found.method == "greedy"
    assert found.gain_ac == pytest.approx(routes_gain_ac(asked, greedy_routes(asked)))
    assert found.gain_ac > 0
