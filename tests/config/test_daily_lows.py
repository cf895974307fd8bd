"""First-freeze dates from a station's daily lows named in the configuration."""

from datetime import date, timedelta

import pytest

from config.load import load

#: First 32 F on days 300, 304, 308, 312, 316 and first 28 F ten days later: means 4 and 14
#: November, standard deviation 6.3 (our arithmetic); a sixth year has no freeze.
FREEZES = {2001: 300, 2002: 304, 2003: 308, 2005: 312, 2006: 316, 2009: None}
BY_HAND = """first_freeze_mean = "10-28"
first_freeze_sd_days = 11
killing_freeze_mean = "11-05"
killing_freeze_sd_days = 11
"""


def lows_csv(convert=lambda low_f: low_f, header: str = "date,low_f") -> str:
    lines = [header]
    for year, freeze in FREEZES.items():
        day = date(year, 7, 24)
        while day <= date(year + 1, 3, 31):
            past = -1 if freeze is None else (day - date(year, 1, 1)).days + 1 - freeze
            low = 66.0 if day.month < 9 else 30.0 if past == 0 else 27.0 if past == 10 else 45.0
            lines.append(f"{day},{convert(low):g}")
            day += timedelta(days=1)
    return "\n".join(lines) + "\n"


@pytest.fixture
def with_lows(farm):
    farm.edit(BY_HAND, '\ndaily_lows = "lows.csv"\n\n\n')
    farm.write("lows.csv", lows_csv())
    return farm


def test_daily_lows_fill_in_both_freezes_and_their_shares(with_lows):
    climate = load(with_lows.toml, {}).rules["N1"].climate

    assert (climate.first_freeze_day, climate.killing_freeze_day) == (308, 318)
    assert climate.first_freeze_sd_days == climate.killing_freeze_sd_days == 6.3
    assert climate.first_freeze_share_frac == pytest.approx(5 / 6, abs=0.001)


def test_figures_written_by_hand_stand(with_lows):
    with_lows.edit(
        'daily_lows = "lows.csv"', 'daily_lows = "lows.csv"\nfirst_freeze_mean = "10-20"'
    )
    climate = load(with_lows.toml, {}).rules["N1"].climate

    assert (climate.first_freeze_day, climate.killing_freeze_day) == (293, 318)


def test_the_killing_line_of_the_farm_is_the_one_counted(with_lows):
    """At 30 F and less the killing freeze is the first freeze of this record."""
    with_lows.edit("wind_min_mph = 3", "killing_f = 30")
    climate = load(with_lows.toml, {}).rules["N1"].climate

    assert climate.killing_freeze_day == 308


def test_a_column_in_celsius_is_told_in_one_line(with_lows):
    with_lows.write("lows.csv", lows_csv(lambda low_f: (low_f - 32) / 1.8))

    assert with_lows.faults() == [
        "lows.csv:1: low_f: got 18.8889 in the middle of July and August, wanted deg F; it looks "
        "like Celsius: convert the column"
    ]


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("2001-07-25,66", "2001-07-25,166", 'lows.csv:3: low_f: got "166", wanted deg F from -60'),
        ("2001-07-25,66", "2001-07-25,-99.9", 'lows.csv:3: low_f: got "-99.9", wanted deg F'),
        ("2001-07-25,66", "2001-07-25,warm", 'lows.csv:3: low_f: got "warm", wanted deg F'),
        ("2001-07-25,66", "25.7.2001,66", 'lows.csv:3: date: got "25.7.2001", wanted a day as'),
        ("2001-07-25,66", "2001-07-24,60", "lows.csv:3: low_f: got 60 for 2001-07-24, which"),
        ("2001-07-25,66", "2001-07-25", 'lows.csv:3: low_f: got no cell, wanted two'),
        ("date,low_f", "date,low_c", "lows.csv:1: header: got the columns date, low_c, wanted"),
    ],
)  # fmt: skip
def test_a_bad_cell_is_named_and_nothing_else_is_blamed(with_lows, old, new, told):
    with_lows.edit(old + "\n", new + "\n", "lows.csv")
    (line,) = with_lows.faults()

    assert line.startswith(told)


def test_days_marked_missing_are_left_out(with_lows):
    with_lows.edit("2001-07-25,66\n", "2001-07-25,\n", "lows.csv")

    assert load(with_lows.toml, {}).warnings is not None


def test_too_short_a_record_is_told_at_its_key(with_lows):
    with_lows.write("lows.csv", "\n".join(lows_csv().splitlines()[:300]) + "\n")
    (line,) = with_lows.faults()

    assert line.startswith("farm.toml:22: climate.daily_lows: got 1 seasons with a first 32 F")


def test_a_file_that_is_not_there_or_leads_out_is_told(with_lows):
    with_lows.edit('"lows.csv"', '"gone.csv"')
    assert with_lows.faults() == [
        "gone.csv:1: file: got no UTF-8 text to read, wanted a CSV; check it"
    ]
    with_lows.edit('"gone.csv"', '"../lows.csv"')
    assert "leads out of the folder" in with_lows.faults()[0]


def test_more_years_with_a_killing_freeze_than_with_any_are_refused(farm):
    farm.edit(
        "killing_freeze_sd_days = 11\n",
        "killing_freeze_sd_days = 11\nfirst_freeze_share_frac = 0.5\n",
    )
    (line,) = farm.faults()

    assert "killing_freeze_share_frac is 1, above first_freeze_share_frac 0.5" in line
