"""The picture of one field's hours ahead, drawn from the kept plan."""

import sys
from datetime import timedelta
from xml.etree import ElementTree

import pytest

from dispatch.report import Call, SeasonNight, SeasonStrip
from scheduler.explanation import CAUTION, Evidence
from scheduler.season_ink import runs_of
from scheduler.season_strips import odds

HOURS = 96
PNG_BEGINS = b"\x89PNG\r\n\x1a\n"
#: What is lettered in the picture, and what it is.
LETTERED = {
    "full window": "windows are named",
    "11 am-5 pm": "with their hours on the field's clock",
    "part window": "parts of windows too",
    "Wed 7 Oct": "days by name",
    "46F": "the low of a night",
    "31.5F": "a tenth beside the freeze line",
    "<1": "odds never claim certainty",
    "8": "odds of a night",
    "61": "odds of a freezing night",
    "32F freeze": "the freeze line",
    "28F killing": "the killing line",
    "3-10 mph": "the band of wind",
    "Dry 24 h after": "the label's hours",
    "7 nights free": "the nights",
    "91 now": "the effect now",
    "?": "what is not known",
}


@pytest.fixture
def strip(report):
    start = report.run.made_utc + timedelta(hours=1)
    spray = ["no"] * 4 + ["full"] * 6 + ["no"] * 18 + ["partial"] * 5 + ["no"] * 63
    return SeasonStrip(
        start_utc=start,
        temp_f=tuple(50.0 + hour % 24 for hour in range(HOURS)),
        wind_mph=(*[6.0] * 40, None, None, None, *[7.0] * 53),
        rain_chance_pct=tuple([5.0] * HOURS),
        workable="n" * 4 + "y" * 6 + "n" * 30 + "???" + "n" * 53,
        dry="y" * 60 + "n" * 24 + "?" * 12,
        free="y" * 12 + "?" * 84,
        spray=tuple(spray),
        effect_pct=tuple(90.0 - hour / 10 for hour in range(HOURS)),
        climate_from_utc=start + timedelta(hours=72),
        nights=tuple(
            SeasonNight(
                low_utc=start + timedelta(hours=24 * day), low_f=low, freeze_pct=odds, killing_pct=1
            )
            for day, low, odds in ((1, 46.0, 0.2), (2, 38.0, 8.4), (3, 31.5, 61.0))
        ),
        freeze_f=32,
        killing_f=28,
        freeze_free_days=7,
        wind_min_mph=3,
        wind_max_mph=10,
        rain_chance_max_pct=40,
    )


@pytest.fixture
def drawn(report, strip, tmp_path):
    """The words in the picture of a field to spray, changed as told."""
    pytest.importorskip("matplotlib", reason="needs the extra warmspell[plots]")
    from scheduler.season_view import plot_season

    def words(name="picture.svg", **changed):
        call = report.fields[1].model_copy(update={"season": strip} | changed)
        path = tmp_path / name
        plot_season(Evidence(report, call), path)
        tree = ElementTree.fromstring(path.read_bytes())
        return [text.strip() for text in tree.itertext() if text.strip()]

    return words


def test_the_picture_says_the_call_its_reason_and_the_caution(drawn):
    told = drawn()
    assert "North Draw: SPRAY, number 1 of 1" in told
    assert "Loses most from the back of the line." in told
    assert CAUTION in told


def test_strips_are_lettered_where_they_are(drawn):
    told = drawn()
    assert {words: what for words, what in LETTERED.items() if words not in told} == {}


def test_a_field_not_to_be_sprayed_has_no_window_only_weather(drawn):
    told = drawn(call=Call.WAIT, rank=None)
    assert "weather allows" in told
    assert "full window" not in told


def test_an_unknown_call_shows_no_window_and_no_effect(drawn, strip):
    dark = strip.model_copy(update={"spray": ("unknown",) * HOURS, "effect_pct": (None,) * HOURS})
    told = drawn(
        call=Call.UNKNOWN, rank=None, season=dark, factors_now=None, factors_back=None, windows=()
    )
    assert "North Draw: NOT KNOWN" in told
    assert "not told while the call is not known" in told
    assert [word for word in told if "window" in word or "allows" in word] == []


def test_a_name_full_of_signs_is_drawn_as_it_is_spelled(drawn, report):
    field = report.fields[1].field.model_copy(update={"name": "$x_1$ & <b>\u68c9\u82b1"})
    assert "$x_1$ & <b>\u68c9\u82b1: SPRAY, number 1 of 1" in drawn(field=field)


def test_the_same_season_gives_the_same_file(drawn, tmp_path):
    drawn("one.svg")
    drawn("two.svg")
    assert (tmp_path / "one.svg").read_bytes() == (tmp_path / "two.svg").read_bytes()


def test_a_png_is_a_png(report, strip, tmp_path):
    pytest.importorskip("matplotlib", reason="needs the extra warmspell[plots]")
    from scheduler.season_view import plot_season

    call = report.fields[1].model_copy(update={"season": strip})
    plot_season(Evidence(report, call), tmp_path / "picture.PNG")
    assert (tmp_path / "picture.PNG").read_bytes().startswith(PNG_BEGINS)


def test_a_strip_of_a_single_hour_can_be_drawn(drawn, strip):
    cut = {
        name: getattr(strip, name)[:1]
        for name in ("temp_f", "wind_mph", "rain_chance_pct", "workable", "dry", "free")
    }
    cut |= {"spray": ("no",), "effect_pct": (None,), "nights": ()}
    assert CAUTION in drawn(season=strip.model_copy(update=cut))


def test_a_strip_without_a_single_number_can_be_drawn(drawn, strip):
    gone = {name: (None,) * HOURS for name in ("temp_f", "wind_mph", "rain_chance_pct")}
    assert "? past the forecast" in drawn(season=strip.model_copy(update=gone))


@pytest.mark.parametrize(
    ("value_pct", "words"),
    [
        (0, "<1"),
        (0.5, "<1"),
        (0.9, "<1"),
        (1, "1"),
        (8.4, "8"),
        (99, "99"),
        (99.5, ">99"),
        (100, ">99"),
    ],
)
def test_odds_never_claim_certainty(value_pct, words):
    assert odds(value_pct) == words


def test_runs_hold_the_hours_of_one_value():
    told = [(run.value, run.start_h, run.end_h) for run in runs_of("yyn?")]
    assert told == [("y", 0, 2), ("n", 2, 3), ("?", 3, 4)]


class TestTheCommand:
    """`explain --plot` on a farm whose morning has been run."""

    @pytest.fixture
    def kept(self, farm, report, strip):
        from scheduler.opening import open_farm

        season = report.fields[1].model_copy(update={"season": strip})
        fields = (report.fields[0], season, report.fields[2])
        with open_farm(farm) as opened:
            opened.stores.plans.keep(report.model_copy(update={"fields": fields}), {})
        return farm

    @pytest.fixture
    def report(self, report):
        number = report.fields[0].model_copy(update={"effect_pct": None})
        return report.model_copy(update={"fields": (number, *report.fields[1:])})

    def test_an_old_plan_can_be_drawn_by_its_date(self, warmspell, kept, tmp_path):
        pytest.importorskip("matplotlib", reason="needs the extra warmspell[plots]")
        path = tmp_path / "north.svg"
        asked = ("explain", "North Draw", "--on", "2026-10-06", "--plot", path, "--config", kept)
        told = warmspell(*asked)
        assert told.code == 0
        assert "North Draw: SPRAY" in told.out
        assert told.err == f"The hours ahead are drawn in {path}.\n"
        assert "North Draw: SPRAY, number 1 of 1" in path.read_text("utf-8")

    def test_without_matplotlib_one_line_says_what_to_install(
        self, warmspell, kept, tmp_path, monkeypatch
    ):
        monkeypatch.setitem(sys.modules, "matplotlib", None)
        told = warmspell("explain", "007", "--plot", tmp_path / "a.png", "--config", kept)
        assert (told.code, told.out) == (78, "")
        assert told.err.count("\n") == 1
        assert "pip install 'warmspell[plots]'" in told.err
        assert not (tmp_path / "a.png").exists()

    @pytest.mark.parametrize(
        ("field", "why"),
        [
            pytest.param("NA", "there was no forecast for it", id="no forecast"),
            pytest.param("home", "it is sprayed", id="sprayed"),
        ],
    )
    def test_a_field_without_hours_is_refused_in_one_line(
        self, warmspell, kept, tmp_path, field, why
    ):
        told = warmspell("explain", field, "--plot", tmp_path / "a.png", "--config", kept)
        assert (told.code, told.out) == (75, "")
        assert told.err.count("\n") == 1
        assert why in told.err

    def test_another_ending_is_a_usage_error(self, warmspell, kept, tmp_path):
        told = warmspell("explain", "007", "--plot", tmp_path / "a.jpg", "--config", kept)
        assert (told.code, told.out) == (64, "")
        assert "got a.jpg, wanted a name that ends in .png or .svg" in told.err

    def test_a_folder_that_is_not_there_is_named(self, warmspell, kept, tmp_path):
        pytest.importorskip("matplotlib", reason="needs the extra warmspell[plots]")
        told = warmspell("explain", "007", "--plot", tmp_path / "no" / "a.png", "--config", kept)
        assert told.code == 65
        assert "the picture cannot be written" in told.err
