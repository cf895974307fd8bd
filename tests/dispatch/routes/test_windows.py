"""Windows by the minute: the whole spray inside, what ends them, and wet ground."""

from datetime import UTC, datetime, timedelta

import pytest

from dispatch.report import SeasonStrip
from dispatch.routes.settings import RouteSettings
from dispatch.routes.windows import field_windows

START = datetime(2026, 10, 6, 12, tzinfo=UTC)


def strip(spray: str, **changed: object) -> SeasonStrip:
    """Hours by letter: f full, p partial, n none; all of it dry and free of freezing but told."""
    hours = len(spray)
    words = {"f": "full", "p": "partial", "n": "no", "u": "unknown"}
    told: dict[str, object] = {
        "start_utc": START,
        "temp_f": (70.0,) * hours,
        "wind_mph": (6.0,) * hours,
        "rain_chance_pct": (5.0,) * hours,
        "workable": "".join("n" if one == "n" else "y" for one in spray),
        "dry": "y" * hours,
        "free": "y" * hours,
        "spray": tuple(words[one] for one in spray),
        "effect_pct": (80.0,) * hours,
        "climate_from_utc": START + timedelta(days=6),
        "nights": (),
        "freeze_f": 32.0,
        "killing_f": 28.0,
        "freeze_free_days": 7,
        "wind_min_mph": 3.0,
        "wind_max_mph": 10.0,
        "rain_chance_max_pct": 40.0,
    }
    return SeasonStrip.model_validate({**told, **changed})


def spans(season: SeasonStrip, *, short: bool = False, **settings: float) -> list[tuple[int, ...]]:
    """Opening, last start and close of each window, in minutes."""
    found = field_windows(season, START, RouteSettings(**settings), short=short)  # type: ignore[arg-type]
    return [(one.open_min, one.last_start_min, one.close_min) for one in found]


def test_a_window_lasts_to_the_end_of_the_last_workable_hour():
    assert spans(strip("nnffnn")) == [(120, 239, 240)]


@pytest.mark.parametrize("letter", ["n", "?"])
@pytest.mark.parametrize("gate", ["dry", "free"])
def test_rain_and_freeze_are_counted_from_the_end_of_the_spray(gate, letter):
    """From 4 pm on they are not seen: a spray that ends at 3:30 would need them from then."""
    season = strip("nfffnn", **{gate: "yyyy" + letter * 2})
    assert spans(season) == [(60, 179, 180)]


def test_a_window_of_one_hour_whose_end_is_not_seen_is_none():
    assert spans(strip("nfnn", dry="yynn")) == []


def test_an_effect_that_falls_parts_a_window_and_the_lowest_counts():
    season = strip("ffffn", effect_pct=(80.0, 79.5, 76.0, 75.5, 75.0))
    found = field_windows(season, START, RouteSettings(), short=False)
    assert [(one.open_min, one.last_start_min, one.effect_pct) for one in found] == [
        (0, 119, 79.5),
        (120, 239, 75.5),
    ]
    assert {one.close_min for one in found} == {240}


def test_partial_hours_count_only_where_they_are_wanted_and_say_what_is_missing():
    season = strip("nfpn", free="yynn")
    assert spans(season) == []
    (short,) = field_windows(season, START, RouteSettings(), short=True)
    assert (short.open_min, short.close_min, short.full) == (60, 180, False)
    assert short.lacks == "a freeze within 7 nights"


@pytest.mark.parametrize(
    "spoilt",
    [
        strip("nuun"),
        strip("nffn", workable="n??n"),
        strip("nffn", effect_pct=(80.0, None, None, 80.0)),
    ],
    ids=["spray unknown", "not known to be workable", "effect unknown"],
)
def test_an_hour_that_is_not_known_is_never_part_of_a_window(spoilt):
    assert spans(spoilt, short=True) == []


def test_hours_before_the_plan_and_past_its_days_are_left_away():
    season = strip("ff" + "n" * 22 + "ff" + "n" * 22 + "ff")
    assert spans(season, days=2) == [(0, 119, 120), (1440, 1559, 1560)]
    later = field_windows(season, START + timedelta(hours=1), RouteSettings(days=1), short=False)
    assert [(one.open_min, one.close_min) for one in later] == [(0, 60), (1380, 1440)]


def test_wet_ground_keeps_ground_rigs_out_and_lets_aircraft_in():
    rain = (5.0, 50.0, 5.0, 5.0, 5.0, 5.0, 5.0)
    found = field_windows(
        strip("nnfffff", rain_chance_pct=rain), START, RouteSettings(wet_ground_h=3), short=False
    )
    assert [(one.kinds, one.open_min) for one in found] == [(("air",), 120), (("ground",), 300)]


def test_a_chance_of_rain_that_is_not_known_counts_as_rain_for_the_ground():
    found = field_windows(
        strip("nfff", rain_chance_pct=(None, 5.0, 5.0, 5.0)), START, RouteSettings(), short=False
    )
    assert [one.kinds for one in found] == [("air",)]
