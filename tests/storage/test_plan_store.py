"""Plans and what they were made from."""

from collections.abc import Callable
from datetime import date, datetime, timedelta

import pytest

from dispatch.report import (
    Call,
    Factors,
    FieldCall,
    ForecastFigures,
    FreezeFigures,
    HourStrip,
    MaturityFigures,
    MorningReport,
    RunFigures,
    Window,
)
from storage.errors import StorageError

INPUTS = {
    "code_version": "0.1.0",
    "forecasts": {"north-draw": {"cell_id": "nws:XYZ/10,20", "issued_utc": "2026-10-06T08:10Z"}},
    "visits": ["0b6f8a5e-6d1b-4f55-9a8f-1f2f3a4b5c6d"],
    "settings": {"decision_span_h": 36},
}


@pytest.fixture
def a_report(a_field, now) -> Callable[..., MorningReport]:
    def build(
        made_utc: datetime = now, local_date: date = date(2026, 10, 6), effect_pct: float = 91.3
    ) -> MorningReport:
        end = made_utc + timedelta(hours=7)
        call = FieldCall(
            field=a_field(),
            grower_name="Abel Farms",
            call=Call.SPRAY,
            rank=1,
            effect_pct=effect_pct,
            rig_hours=3.1,
            rain_free_needed_h=24.0,
            windows=(
                Window(
                    start_utc=made_utc, end_utc=end, best_utc=made_utc, effect_pct=91.3, full=True
                ),
            ),
            freeze=FreezeFigures(known_through_utc=end, low_f=34.0),
            maturity=MaturityFigures(state="mature", ready_on=date(2026, 10, 4), reasons=("x",)),
            forecast=ForecastFigures(source="invented", issued_utc=made_utc, age_h=3.0),
            factors_now=Factors(
                start_utc=made_utc,
                warmth=0.93,
                warmth_alive=0.92,
                wash_chance_pct=4.0,
                dry=0.98,
                ready=1.0,
                effect_pct=91.3,
                dose=0.9,
            ),
            strip=HourStrip(
                start_utc=made_utc,
                spray=("full", "unknown"),
                why_not=("", "wind not known"),
                temp_f=(61.5, None),
                wind_mph=(7.0, None),
                rain_chance_pct=(None, None),
            ),
        )
        run = RunFigures(
            farm_name="Sandhill Co-op",
            time_zone="America/Chicago",
            made_utc=made_utc,
            local_date=local_date,
            fields=1,
            counts={call: int(call is Call.SPRAY) for call in Call},
            sprayed=0,
            queue_days=5,
            queue_rig_hours=31.0,
            usable_rig_hours_a_day=8.0,
            rigs=2,
            span_h=36,
            policy_version="1",
        )
        return MorningReport(run=run, fields=(call,))

    return build


def test_a_plan_comes_back_whole_with_its_inputs(stores, a_report):
    report = a_report()
    stores.plans.keep(report, INPUTS)

    assert stores.plans.latest() == report
    assert stores.plans.on(date(2026, 10, 6)) == report
    assert stores.plans.inputs_of(report) == INPUTS


@pytest.mark.parametrize("count", [0, 1, 3])
def test_a_plan_of_any_number_of_fields_comes_back_whole(stores, a_report, count):
    one = a_report().fields[0]
    fields = tuple(one.model_copy(update={"rank": place}) for place in range(count))
    report = a_report().model_copy(update={"fields": fields})
    stores.plans.keep(report, INPUTS)

    assert stores.plans.latest() == report


def test_nothing_is_known_of_a_day_without_a_plan(stores, a_report):
    assert stores.plans.latest() is None
    stores.plans.keep(a_report(), INPUTS)

    assert stores.plans.on(date(2026, 10, 5)) is None
    assert stores.plans.latest("correction") is None
    assert stores.plans.inputs_of(a_report(local_date=date(2026, 10, 5))) is None


def test_of_several_plans_of_a_day_the_one_made_last_counts(stores, a_report, now):
    first, second = a_report(), a_report(now + timedelta(hours=2), effect_pct=80.0)
    yesterday = a_report(now - timedelta(days=1), date(2026, 10, 5))
    for number, report in enumerate((second, first, yesterday)):
        stores.plans.keep(report, {"number": number})

    assert stores.plans.latest() == second
    assert stores.plans.on(date(2026, 10, 6)) == second
    assert stores.plans.on(date(2026, 10, 5)) == yesterday
    assert stores.plans.inputs_of(first) == {"number": 1}


def test_two_plans_made_at_the_same_time_are_both_kept_and_the_later_counts(stores, a_report):
    stores.plans.keep(a_report(effect_pct=91.0), {"number": 1})
    for _ in range(2):
        stores.plans.keep(a_report(effect_pct=92.0), {"number": 2})

    assert stores.plans.latest() == a_report(effect_pct=92.0)
    with stores.database.read() as connection:
        assert connection.exec_driver_sql("SELECT count(*) FROM plans").scalar_one() == 2


@pytest.mark.parametrize("bad", [float("nan"), float("inf"), float("-inf")])
def test_a_number_that_is_not_one_is_refused(stores, a_report, bad):
    with pytest.raises(StorageError, match=r"plan of 2026-10-06 .*report: not kept"):
        stores.plans.keep(a_report(effect_pct=bad), INPUTS)
    with pytest.raises(StorageError, match="inputs: not kept"):
        stores.plans.keep(a_report(), {"low_f": bad})

    assert stores.plans.latest() is None


def test_inputs_that_are_not_plain_are_refused(stores, a_report, now):
    with pytest.raises(StorageError, match=r"inputs: not kept.*datetime"):
        stores.plans.keep(a_report(), {"issued_utc": now})


def test_a_damaged_plan_is_named(stores, a_report):
    stores.plans.keep(a_report(), INPUTS)
    with stores.database.write() as connection:
        connection.exec_driver_sql("UPDATE plans SET report = substr(report, 1, 40)")

    with pytest.raises(StorageError, match=r"plan of 2026-10-06 made 2026-10-06 .*damaged"):
        stores.plans.latest()


def test_the_last_plan_of_each_day_comes_in_order_and_an_unreadable_one_without_its_report(
    stores, a_report, now
):
    today, earlier = a_report(now + timedelta(hours=2), effect_pct=80.0), a_report()
    yesterday = a_report(now - timedelta(days=1), date(2026, 10, 5))
    for number, report in enumerate((today, earlier, yesterday)):
        stores.plans.keep(report, {"number": number})
    stores.plans.keep(a_report(now, date(2026, 10, 7)), INPUTS, "dry-run")
    with stores.database.write() as connection:
        connection.exec_driver_sql(
            "UPDATE plans SET report = substr(report, 1, 40) WHERE local_date = '2026-10-05'"
        )

    kept = list(stores.plans.last_of_each_day())
    assert [one.local_date for one in kept] == [date(2026, 10, 5), date(2026, 10, 6)]
    assert [one.report for one in kept] == [None, today]
    assert [one.inputs for one in kept] == [{"number": 2}, {"number": 0}]


def test_the_plan_made_last_by_a_moment_comes_with_its_inputs(stores, a_report, now):
    first, second = a_report(), a_report(now + timedelta(hours=2), effect_pct=80.0)
    for number, report in enumerate((second, first)):
        stores.plans.keep(report, {"number": number})

    assert stores.plans.made_by(first.run.made_utc - timedelta(seconds=1)) is None
    kept = stores.plans.made_by(second.run.made_utc - timedelta(seconds=1))
    assert (kept.report, kept.inputs, kept.local_date) == (first, {"number": 1}, date(2026, 10, 6))
    assert stores.plans.made_by(second.run.made_utc).report == second
    assert stores.plans.made_by(second.run.made_utc, "dry-run") is None
