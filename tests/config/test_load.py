"""A sound farm, loaded: rules, zones, phones."""

import pytest

from config.load import load
from config.zones import zone_at


def test_rules_come_from_the_farm_then_the_region_then_the_field(farm):
    farm.edit(
        "[regions.creek.gates]", "[regions.creek.maturity]\nnacb_max = 5\n[regions.creek.gates]"
    )
    farm.edit(
        "[field_rules.N1.maturity]",
        "[field_rules.N1.gates]\ngust_max_mph = 12\nwind_max_mph = 7\n[field_rules.N1.maturity]",
    )
    rules = load(farm.toml, {}).rules
    assert (rules["N1"].gates.wind_max_mph, rules["N2"].gates.wind_max_mph) == (7, 10)
    assert (rules["N1"].gates.gust_max_mph, rules["N2"].gates.gust_max_mph) == (12, 15)
    assert (rules["N1"].maturity.nacb_max, rules["N2"].maturity.nacb_max) == (3, 4)
    assert rules["N1"].gates.wind_min_mph == 3
    assert rules["S1"].treatment.rain_free_h == 12
    assert set(rules) == {"N1", "N2", "S1"}


def test_a_region_has_its_own_climate_key_by_key(farm):
    farm.edit(
        "[regions.creek.gates]",
        '[regions.creek.climate]\nfirst_freeze_mean = "10-21"\n[regions.creek.gates]',
    )
    rules = load(farm.toml, {}).rules
    # Days of a year that is not a leap year: 273 to the end of September, 304 to October's.
    assert rules["N1"].climate.first_freeze_day == 273 + 21
    assert rules["N2"].climate.first_freeze_day == 273 + 28
    assert rules["N1"].climate.killing_freeze_day == 304 + 5
    assert rules["N1"].climate.normal_high_f == (92, 85, 75, 63, 54)


def test_an_override_that_repeats_the_default_still_counts(farm):
    farm.edit("wind_max_mph = 10", "wind_max_mph = 8")
    farm.edit("wind_max_mph = 9", "wind_max_mph = 10")
    rules = load(farm.toml, {}).rules
    assert (rules["N1"].gates.wind_max_mph, rules["N2"].gates.wind_max_mph) == (10, 8)


def test_phones_are_kept_in_their_international_form(farm):
    assert [person.phone for person in load(farm.toml, {}).settings.people] == [
        "+18065550142",
        None,
    ]


def test_a_named_zone_holds_for_every_field(farm):
    farm.edit('"America/Chicago"', '"America/Denver"')
    config = load(farm.toml, {})
    assert config.time_zone == "America/Denver"
    assert {field.time_zone for field in config.fields} == {"America/Denver"}


def test_zones_by_field_come_from_the_place_and_the_farm_has_the_most_common(farm):
    farm.edit('"America/Chicago"', '"by field"')
    # Eastern New Mexico keeps Mountain time, the Texas High Plains Central (49 CFR 71, 2024).
    farm.edit("34.42,-101.71", "34.42,-103.30", "fields.csv")
    config = load(farm.toml, {})
    zones = [field.time_zone for field in config.fields]
    assert zones == ["America/Chicago", "America/Denver", "America/Chicago"]
    assert config.time_zone == "America/Chicago"


def test_a_place_at_sea_has_no_zone_of_its_own_and_takes_the_farms(farm):
    assert zone_at(28.0, -90.5) is None
    farm.edit('"America/Chicago"', '"by field"')
    farm.edit("34.42,-101.71", "28.0,-90.5", "fields.csv")
    (warning,) = farm.warnings()
    assert warning.startswith(
        "fields.csv:3: time_zone: got a place without a time zone; the farm's"
    )
    assert {field.time_zone for field in load(farm.toml, {}).fields} == {"America/Chicago"}


def test_a_farm_wholly_at_sea_is_refused(farm):
    farm.edit('"America/Chicago"', '"by field"')
    text = (farm.folder / "fields.csv").read_text("utf-8")
    for place in ("34.41,-101.69", "34.42,-101.71", "34.53,-101.82"):
        text = text.replace(place, "28.0,-90.5")
    farm.write("fields.csv", text)
    assert [line.split(",")[0] for line in farm.faults()] == [
        f"fields.csv:{row}: time_zone: got a place without a time zone" for row in (2, 3, 4)
    ]


@pytest.mark.fault("I12")
def test_a_field_beyond_the_weather_service_is_a_warning(farm):
    farm.edit("34.42,-101.71", "-12.5,-55.7", "fields.csv")
    assert farm.warnings() == [
        "fields.csv:3: latitude: got a place outside the country of the weather service; "
        "its call will be unknown"
    ]


def test_a_farm_that_names_its_zone_may_lie_where_a_lost_sign_would_be_home(farm):
    place = "41.2,85.3"
    farm.edit("34.42,-101.71", place, "fields.csv")
    assert "put the minus sign back" in farm.faults()[0]
    zone = zone_at(41.2, 85.3)
    farm.edit('"America/Chicago"', f'"{zone}"')
    assert load(farm.toml, {}).fields[1].longitude == 85.3


def test_a_recorded_farm_has_its_own_clock_and_says_if_its_answers_are_gone(farm):
    farm.edit('source = "nws"', 'source = "folder"\npath = "answers"')
    farm.edit("[gates]", "[replay]\nat = 2026-10-06T06:10:00-05:00\n[gates]")
    assert load(farm.toml, {}).settings.replay.at.isoformat() == "2026-10-06T06:10:00-05:00"
    assert farm.warnings() == [
        'farm.toml:11: forecast.path: got "answers", but there is no such folder; '
        "every call will be unknown"
    ]
    (farm.folder / "answers").mkdir()
    assert farm.warnings() == []


@pytest.mark.fault("I02")
@pytest.mark.parametrize("written", ['"06:30"', '"6:30"', "06:30:00"])
def test_times_of_day_are_read_as_people_write_them(farm, written):
    farm.edit('"06:00"', written)
    assert f"{load(farm.toml, {}).settings.farm.send_at:%H:%M}" == "06:30"
