"""The hours of each day as a card."""

from datetime import UTC, date, datetime
from typing import Any

from dispatch.words import LocalClock
from web.day_cards import RAIN, WIDE, day_cards
from web.field_hours import Hours

ZONE = "America/Chicago"


def _hours(start_utc: datetime, count: int, **told: Any) -> Hours:
    usual: dict[str, Any] = {
        "spray": ("no",) * count,
        "why_not": (),
        "temp_f": (50.0,) * count,
        "wind_mph": (6.0,) * count,
        "rain_pct": (0.0,) * count,
        "effect_pct": (),
        "faint": False,
        "freeze_f": 32.0,
        "killing_f": 28.0,
        "wind_band_mph": (3.0, 10.0),
        "lows": (),
    }
    return Hours(start_utc=start_utc, **(usual | told))


def _clock(today: date) -> LocalClock:
    return LocalClock(ZONE, ZONE, today)


def test_every_local_day_has_its_card_from_its_own_midnight():
    """7 am is seven of the 24 hours of a card."""
    hours = _hours(datetime(2026, 10, 6, 12, tzinfo=UTC), 30)
    first, second = day_cards(hours, _clock(date(2026, 10, 6)), "us")
    assert (first.title, second.title) == ("Tue 6 Oct", "Wed 7 Oct")
    assert first.spray[0].x == WIDE * 7 / 24
    assert second.spray[0].x == 0


def test_the_day_the_clock_goes_back_has_twenty_five_hours():
    """1 Nov 2026 in Chicago: noon comes thirteen hours after midnight."""
    hours = _hours(datetime(2026, 11, 1, 5, tzinfo=UTC), 25)
    (card,) = day_cards(hours, _clock(date(2026, 11, 1)), "us")
    noon = next(tick for tick in card.ticks if tick.word == "noon")
    assert noon.x == round(WIDE * 13 / 25, 1)
    assert card.spray[0].wide == WIDE


def test_an_hour_that_is_not_known_breaks_the_line_and_is_marked():
    warm = (50.0, 51.0, None, 53.0)
    hours = _hours(datetime(2026, 10, 6, 5, tzinfo=UTC), 4, temp_f=warm)
    (card,) = day_cards(hours, _clock(date(2026, 10, 6)), "us")
    assert len(card.temp) == 2
    (unknown,) = card.unknown
    assert (unknown.x, unknown.wide) == (24.0, 12.0)
    assert card.in_words.endswith("some hours are not known")


def test_rain_is_as_tall_as_its_chance():
    hours = _hours(datetime(2026, 10, 6, 5, tzinfo=UTC), 2, rain_pct=(50.0, 100.0))
    half, whole = day_cards(hours, _clock(date(2026, 10, 6)), "us")[0].rain
    top, bottom = RAIN
    assert (half.tall, whole.tall) == ((bottom - top) / 2, bottom - top)


def test_windows_of_a_field_that_is_not_called_are_only_what_the_weather_allows():
    hours = _hours(datetime(2026, 10, 6, 15, tzinfo=UTC), 2, spray=("full", "no"), faint=True)
    (card,) = day_cards(hours, _clock(date(2026, 10, 6)), "us")
    assert [run.title for run in card.spray] == [
        "today 10 am-11 am: weather allows: full window",
        "today 11 am-noon: no spraying",
    ]


def test_no_window_is_drawn_where_no_call_stands():
    hours = _hours(datetime(2026, 10, 6, 15, tzinfo=UTC), 2, spray=())
    assert day_cards(hours, _clock(date(2026, 10, 6)), "us")[0].spray == ()
