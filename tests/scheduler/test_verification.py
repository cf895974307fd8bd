"""Archived forecasts of known errors, verified: the errors come out as they were put in."""

import json
from datetime import date, timedelta

import pytest

from scheduler.data_error import DataError
from scheduler.opening import open_farm
from scheduler.verification import verify
from tests.scheduler import archive

NEW_YEAR = "2027-01-01T12:00:00Z"


def too_warm(on: date, lead: int) -> float:
    """Told one too warm, and three more or three less by turns: errors 4 and -2."""
    return archive.low_of(on) + 1.0 + (3.0 if on.toordinal() % 2 else -3.0)


@pytest.fixture
def late_farm(farm):
    """The starter farm after its season."""
    text = farm.read_text("utf-8").replace("2026-10-06T11:00:00Z", NEW_YEAR)
    farm.write_text(text, "utf-8")
    return farm


@pytest.fixture
def verified(late_farm, capsys, tmp_path):
    """Keep an archive of some days, verify it against a record, and give the JSON."""

    def run(days, told_low=too_warm, record_days=None, **record):
        with open_farm(late_farm) as opened:
            archive.keep_archive(opened, days, told_low)
        file = archive.write_record(tmp_path / "seen.csv", record_days or days + 9, **record)
        capsys.readouterr()
        assert verify(late_farm, file, None, True, None) == 0
        return json.loads(capsys.readouterr().out)["sources"][0]

    return run


def text_of(late_farm, tmp_path, capsys) -> str:
    assert verify(late_farm, tmp_path / "seen.csv", None, False, None) == 0
    return capsys.readouterr().out


def test_bias_and_errors_by_days_ahead_are_those_put_in(verified):
    """By hand: errors 4 and -2 in equal number, 80 mornings: bias 1, mean 3, root of 10."""
    told = verified(80)

    assert told["source"] == archive.SOURCE
    assert (told["issues"], told["first_on"], told["last_on"]) == (80, "2026-09-20", "2026-12-08")
    assert [one["lead_days"] for one in told["lows"]] == [1, 2, 3, 4, 5, 6, 7, 8]
    for one in (*told["lows"], *told["highs"]):
        assert (one["n"], one["nights"], one["enough"]) == (80, 80, True)
        assert one["bias_f"] == pytest.approx(1.0, abs=0.1)
        assert one["mae_f"] == pytest.approx(3.0, abs=0.05)
        assert one["rmse_f"] == pytest.approx(10**0.5, abs=0.05)
    assert [one["lead_days"] for one in told["highs"]] == list(range(8))
    assert told["wind"] == []


def test_odds_of_rain_hold_as_they_were_told(verified):
    """One day in five is wet, told at 80 %, the others at 10 %. By hand: a chance told for 24
    hours is two of half a day, so a wet day has 80 to 96 %, midway 88, a dry one 10 to 19, midway
    14.5: Brier (0.12 squared + 4 x 0.145 squared) / 5 = 0.0197."""
    days = verified(80)["rain_odds"]["days"]
    whole = days[-1]

    assert [one["lead_days"] for one in days] == [1, 2, 3, 4, 5, 6, 7, None]
    assert whole["brier"] == pytest.approx(0.0197, abs=3e-4)
    assert whole["base_rate_pct"] == pytest.approx(20, abs=0.5)
    told = {one["from_pct"]: (one["n"], one["came_pct"]) for one in whole["reliability"]}
    assert set(told) == {10, 80}
    assert (told[10][1], told[80][1]) == (0.0, 100.0)
    assert told[10][0] + told[80][0] == whole["n"] == 7 * 80


def test_odds_of_a_freeze_are_those_of_the_policy(verified):
    """Told 28 F each night while it is 30 F: a freeze each night, and odds well above a half."""
    told = verified(60, lambda on, lead: 28.0, low=lambda on: 30.0)["freeze_odds"]

    assert told["nights"][-1]["base_rate_pct"] == 100.0
    assert all(one["brier"] < 0.1 for one in told["nights"])
    week = told["seven_nights"]
    assert (week["n"], week["base_rate_pct"]) == (60, 100.0)
    assert week["brier"] < 0.001


def test_a_week_with_one_night_not_observed_is_left_out(verified):
    whole = verified(40)["freeze_odds"]["seven_nights"]
    assert (whole["n"], whole["left_out"]) == (40, 0)


def test_a_week_at_the_end_of_the_record_is_left_out(verified):
    short = verified(40, record_days=40)["freeze_odds"]["seven_nights"]
    # The last seven mornings of forty look past the record.
    assert (short["n"], short["left_out"]) == (33, 7)


def test_few_nights_are_never_judged(verified, late_farm, tmp_path, capsys):
    told = verified(3)
    assert [one["enough"] for one in told["lows"]] == [False] * 8
    out = text_of(late_farm, tmp_path, capsys)
    assert "n = 3 nights, too few to judge" in out
    assert "3.0" not in out
    assert "farm.toml" not in out


def test_sixty_nights_are_blended_and_shown_with_the_lines_to_use(
    verified, late_farm, tmp_path, capsys
):
    """By hand, lead 1: 80 nights weigh 80 / 140. Here the variance is 9 x 80 / 79, by default
    5.07 squared: blended sqrt((60 x 25.70 + 80 x 9.11) / 140) = 4.03. Bias 0.29 to 0.70."""
    told = verified(80)
    one = told["low_errors"][1]

    assert (one["nights"], one["default_sd_f"]) == (80, 5.07)
    assert one["here_sd_f"] == pytest.approx((9 * 80 / 79) ** 0.5, abs=0.01)
    assert one["sd_f"] == pytest.approx(4.03, abs=0.01)
    assert one["bias_f"] == pytest.approx(0.70, abs=0.02)
    assert told["low_errors"][0]["weight_frac"] == 0
    assert told["farm_toml"][1].startswith("low_error_sd_f = [5.11, 4.03, ")
    out = text_of(late_farm, tmp_path, capsys)
    assert "default sd 5.1, here 3.0 over 80 nights, blended 4.0" in out
    assert "To count with the blend, say --keep here, or put this in farm.toml" in out


def test_the_lines_to_use_are_taken_by_the_config(verified, late_farm):
    lines = verified(80)["farm_toml"]
    text = late_farm.read_text("utf-8").replace("[dispatch]\n", "\n".join(lines) + "\n", 1)
    late_farm.write_text(text, "utf-8")
    with open_farm(late_farm) as opened:
        policy = opened.config.settings.dispatch
    assert policy.low_error_sd_f[1] == pytest.approx(4.03, abs=0.01)
    assert len(policy.low_bias_f) == 8


def test_the_tables_name_their_source_and_what_is_missing(verified, late_farm, tmp_path, capsys):
    verified(40, record_days=40)
    out = text_of(late_farm, tmp_path, capsys)
    assert "Lows [F], US National Weather Service" in out
    assert "told but not observed, so not counted" in out
    assert "No full window has been promised here" in out
    assert "nan" not in out.lower()


def test_a_field_of_its_own_is_held_against_its_cold_spot(late_farm, tmp_path, capsys):
    """Creek Bottom lies 3 F colder: a cell's low of 40 F is told as 37 F there."""
    with open_farm(late_farm) as opened:
        archive.keep_archive(opened, 12, lambda on, lead: 40.0)
    rows = [f"C1,{archive.FIRST + timedelta(days=day)},37" for day in range(20)]
    file = tmp_path / "seen.csv"
    file.write_text("field,date,low_f\n" + "\n".join(rows), "utf-8")
    assert verify(late_farm, file, None, True, None) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["observed"][0]["field_id"] == "C1"
    assert {one["bias_f"] for one in told["sources"][0]["lows"]} == {0.0}


def test_celsius_in_late_autumn_shows_beside_the_forecasts(late_farm, tmp_path):
    """34 to 46 F are 1 to 8 C, which a November could have; the forecasts know better."""
    first = date(2026, 11, 5)
    with open_farm(late_farm) as opened:
        archive.keep_archive(opened, 20, too_warm, first)
    file = archive.write_record(
        tmp_path / "seen.csv", 25, first, lambda on: round((archive.low_of(on) - 32) / 1.8, 1)
    )
    with pytest.raises(DataError, match="it looks like Celsius: convert the column") as refused:
        verify(late_farm, file, None, False, None)
    assert len(refused.value.lines) == 1


def test_a_farm_without_an_archive_says_so(late_farm, tmp_path, capsys):
    archive.write_record(tmp_path / "seen.csv", 5)
    out = text_of(late_farm, tmp_path, capsys)
    assert "none kept for this place yet" in out


@pytest.mark.parametrize("form", ["png", "svg"])
def test_a_picture_is_drawn(verified, late_farm, tmp_path, form, capsys):
    verified(40)
    picture = tmp_path / f"scores.{form}"
    assert verify(late_farm, tmp_path / "seen.csv", None, False, picture) == 0
    starts = {"png": b"\x89PNG", "svg": b"<?xml"}
    assert picture.read_bytes().startswith(starts[form])
    assert f"drawn in {picture}" in capsys.readouterr().err
    if form == "svg":
        text = picture.read_text("utf-8")
        assert "Odds of a freeze, each night" in text
        assert "Brier" in text
