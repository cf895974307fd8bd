"""Who tells the forecast: named in the config, allowed to, and shown with its credit."""

import pytest

from config.check import check_lines
from config.load import load
from config.problem import ConfigError

SOURCE = 'source = "nws"'


def refusal(farm) -> list[str]:
    with pytest.raises(ConfigError) as caught:
        load(farm.toml, {})
    return [one.removeprefix(f"{farm.toml.parent}/") for one in caught.value.lines]


def forecast_line(farm, environ=None) -> str:
    lines = check_lines(load(farm.toml, environ or {}))
    return next(one for one in lines if one.startswith("Forecast: "))


def test_open_meteo_without_a_key_or_a_word_is_one_line(farm):
    farm.edit(SOURCE, 'source = "open_meteo"')
    assert refusal(farm) == [
        'farm.toml:10: forecast.source: source is "open_meteo", which is free for non-commercial '
        "use only; name your key with api_key_env or api_key_file, or affirm "
        "non_commercial = true"
    ]


def test_open_meteo_by_the_operators_word(farm):
    farm.edit(SOURCE, 'source = "open_meteo"\nnon_commercial = true')
    assert forecast_line(farm) == "Forecast: Open-Meteo.com (CC BY 4.0), contact sky@gin.test"


def test_the_key_comes_from_the_environment_and_is_never_shown(farm):
    farm.edit(SOURCE, 'source = "open_meteo"\napi_key_env = "GIN_SKY"')
    config = load(farm.toml, {"GIN_SKY": "kqzx-77-hush"})

    assert config.secrets.forecast_key is not None
    assert config.secrets.forecast_key.get_secret_value() == "kqzx-77-hush"
    assert "hush" not in repr(config)
    assert load(farm.toml, {}).warnings == (
        f"{farm.toml}:11: forecast.api_key_env: got the name of a variable that is not set or "
        "empty here; set it where this runs",
    )


def test_the_credit_of_met_norway_is_shown_where_it_is_named(farm):
    farm.edit(SOURCE, 'source = "met_norway"')
    assert forecast_line(farm) == "Forecast: Data from MET Norway (CC BY 4.0), contact sky@gin.test"


def test_who_stands_in_is_shown(farm):
    farm.edit(SOURCE, 'source = "nws"\nstand_in = "met_norway"')
    assert forecast_line(farm) == (
        "Forecast: US National Weather Service, in its place where it fails Data from MET Norway "
        "(CC BY 4.0), contact sky@gin.test"
    )


def test_who_looks_further_and_counts_members_is_shown(farm):
    farm.edit(SOURCE, f'{SOURCE}\nextend = "open_meteo"\nensemble = true\nnon_commercial = true')
    assert forecast_line(farm) == (
        "Forecast: US National Weather Service, further ahead, beside the calls, Open-Meteo.com "
        "(CC BY 4.0), odds beside by the members of an ensemble, Open-Meteo.com (CC BY 4.0), "
        "contact sky@gin.test"
    )


def test_an_ensemble_without_a_key_or_a_word_is_one_line(farm):
    farm.edit(SOURCE, f"{SOURCE}\nensemble = true")
    (line,) = refusal(farm)
    assert "ensemble is true and asks Open-Meteo, which is free for non-commercial use" in line


def test_a_source_that_is_none_is_told_with_those_there_are(farm):
    farm.edit(SOURCE, 'source = "the radio"')
    (line,) = refusal(farm)
    assert line.startswith('farm.toml:10: forecast.source: got "the radio", wanted')
    assert "met_norway" in line


def warnings(farm) -> list[str]:
    return [one.removeprefix(f"{farm.toml.parent}/") for one in load(farm.toml, {}).warnings]


def test_a_pause_that_no_morning_is_long_enough_for_is_told(farm):
    farm.edit(SOURCE, f"{SOURCE}\nask_again_s = 900")
    assert warnings(farm) == [
        "farm.toml:11: forecast.ask_again_s: got 900 seconds, but who leads may be asked for 900 "
        "in all, so nobody is asked again; raise total_deadline_s or shorten the pause"
    ]


@pytest.mark.parametrize(
    ("told", "warned"),
    [
        ("ask_again_s = 899", False),
        ("ask_again_s = 1200\ntotal_deadline_s = 1500", False),
        # Four fifths of 1500 s are the leader's where somebody stands in.
        ('ask_again_s = 1200\ntotal_deadline_s = 1500\nstand_in = "met_norway"', True),
        ("total_deadline_s = 60", False),
    ],
)
def test_a_pause_that_may_act_or_was_not_named_is_not_told(farm, told, warned):
    farm.edit(SOURCE, f"{SOURCE}\n{told}")
    assert bool(warnings(farm)) is warned
