"""Whatever the hours: a plan from their windows is borne out by the hours themselves."""

from datetime import timedelta

from by_force import Steps
from hypothesis import given, settings
from hypothesis import strategies as st
from mornings_for_rigs import fleet, good_morning, since
from rig_farms import rig
from test_windows import START, strip

from dispatch.report import MorningReport, SeasonStrip
from dispatch.routes.rig_plan import plan_rigs
from dispatch.routes.settings import RouteSettings
from dispatch.routes.sky_check import check_sky
from dispatch.routes.windows import field_windows

REPORT = good_morning(2)
RIGS = (
    rig("quick", tank_gal=1000, refill_min=20),
    rig("slow", swath_ft=30, tank_gal=700, refill_min=25, refill_at="yard"),
    rig("plane", kind="air", swath_ft=50, speed_mph=120),
)


@st.composite
def seasons(draw: st.DrawFn) -> SeasonStrip:
    """Hours in runs of any kind, each gate and chance spoilt on its own."""

    def runs(letters: str, hours: int = 60) -> str:
        told = ""
        while len(told) < hours:
            told += draw(st.sampled_from(letters)) * draw(st.integers(1, 9))
        return told[:hours]

    spray = runs("ffpnu")
    chance = [draw(st.sampled_from([0.0, 0.0, 0.0, 0.0, 60.0, None])) for _ in range(60)]
    effect = [float(draw(st.integers(20, 90))) for _ in range(60)]
    return strip(
        spray,
        workable="".join("n" if one == "n" else draw(st.sampled_from("yyyy?")) for one in spray),
        dry=runs("yyyn?"),
        free=runs("yyyn?"),
        rain_chance_pct=tuple(chance),
        effect_pct=tuple(effect),
    )


def with_season(season: SeasonStrip) -> MorningReport:
    fields = tuple(one.model_copy(update={"season": season}) for one in REPORT.fields)
    return REPORT.model_copy(update={"fields": fields})


@settings(max_examples=60, deadline=None)
@given(season=seasons(), wet_ground_h=st.sampled_from([0.0, 3.0, 12.0]), short=st.booleans())
def test_a_plan_is_borne_out_by_the_hours_of_the_morning(season, wet_ground_h, short):
    report = with_season(season)
    told = fleet(*RIGS, wet_ground_h=wet_ground_h, short_windows=short)
    plan = plan_rigs(report, told, since(), Steps(20))
    assert check_sky(report, plan, {"quick", "slow"}, wet_ground_h) == []
    assert plan.method in ("searched", "greedy")
    assert not any("thrown away" in note for note in plan.notes)
    if not short:
        assert all(stop.full for one in plan.days for stop in one.stops)


@settings(max_examples=100, deadline=None)
@given(season=seasons(), lost=st.integers(0, 59))
def test_losing_an_hour_never_opens_a_minute(season, lost):
    """Every minute that may be sprayed without an hour may be sprayed with it too."""

    def minutes(one: SeasonStrip) -> set[tuple[int, str]]:
        found = field_windows(one, START, RouteSettings(), short=True)
        return {
            (minute, kind)
            for told in found
            for minute in range(told.open_min, told.close_min)
            for kind in told.kinds
        }

    def spoilt(letters: str) -> str:
        return letters[:lost] + "?" + letters[lost + 1 :]

    chances = list(season.rain_chance_pct)
    chances[lost] = None
    spray = list(season.spray)
    spray[lost] = "unknown" if spray[lost] != "no" else "no"
    without = season.model_copy(
        update={
            "dry": spoilt(season.dry),
            "free": spoilt(season.free),
            "rain_chance_pct": tuple(chances),
            "spray": tuple(spray),
        }
    )
    assert minutes(without) <= minutes(season)


def test_the_laws_are_tried_on_hours_that_hold_windows():
    season = strip("n" * 3 + "f" * 8 + "n" * 49)
    plan = plan_rigs(with_season(season), fleet(*RIGS), since(), Steps(20))
    assert plan.fields == 2
    assert plan.acres == 70 + 80


def test_a_rig_on_wheels_on_wet_ground_is_found_out():
    """Rain at 1 pm by the plan's hours, the first spray from 3 pm: within three hours of it."""
    season = strip("n" * 3 + "f" * 8 + "n" * 49)
    plan = plan_rigs(with_season(season), fleet(RIGS[0], wet_ground_h=0), since(), Steps(20))
    assert plan.days[0].stops[0].start_utc == START + timedelta(hours=3)
    for chance in (50.0, None):
        rained = with_season(
            season.model_copy(update={"rain_chance_pct": (0.0, chance) + (0.0,) * 58})
        )
        told = check_sky(rained, plan, {"quick"}, 3.0)
        assert "quick is on wheels and the ground is wet" in told[0]
        assert check_sky(rained, plan, {"quick"}, 1.0) == []
        assert check_sky(rained, plan, set(), 3.0) == []
