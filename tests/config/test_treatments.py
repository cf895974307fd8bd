"""Hours without rain of a mix: stated, printed, or missing."""

import pytest

from config.check import check_lines
from config.load import load


def with_mix(farm, ingredients: str, hours: str = "") -> None:
    farm.edit("rain_free_h = 12", f"ingredients = {ingredients}\n{hours}")


def test_printed_hours_fill_in_and_are_told_with_their_source(farm):
    with_mix(farm, '["thidiazuron", "tribufos", "ethephon"]')
    config = load(farm.toml, {})
    (mix,) = config.settings.treatments
    assert (mix.rain_free_h, config.rules["N1"].treatment.rain_free_h) == (12, 12)
    assert "Ben Hill County, 2022" in mix.rain_free_source
    assert config.warnings == ()
    assert (
        "Treatments: Mix (12 h without rain, printed for thidiazuron + tribufos 12 h: Univ. of "
        "Georgia Extension, Ben Hill County, 2022, 3 fields)"
    ) in check_lines(config)


def test_hours_that_no_source_prints_are_asked_for_by_ingredient(farm):
    with_mix(farm, '["ethephon", "dimethipin", "endothall"]')
    assert farm.faults() == [
        "farm.toml:62: treatments[0].rain_free_h: got nothing, and no source prints hours without "
        'rain for "dimethipin", "endothall"; enter the longest on the labels of the mix'
    ]


def test_a_misspelt_ingredient_is_asked_for_with_the_name_that_was_meant(farm):
    with_mix(farm, '["ethefon"]')
    (told,) = farm.faults()
    assert told.endswith('of the mix ("ethefon": did you mean "ethephon"?)')


def test_stated_hours_win_and_those_below_the_printed_ones_are_doubted(farm):
    with_mix(farm, '["thidiazuron", "dimethipin"]', "rain_free_h = 18")
    config = load(farm.toml, {})
    (mix,) = config.settings.treatments
    assert (mix.rain_free_h, mix.rain_free_source) == (18, "label")
    assert farm.warnings() == [
        "farm.toml:66: treatments[0].rain_free_h: got 18 h, printed are thidiazuron 24 h (Univ. of "
        "Georgia Extension, Tattnall County, 2015); 18 h counts: check it against the labels of "
        "the mix"
    ]


@pytest.mark.parametrize("hours", [24, 30])
def test_stated_hours_as_long_as_the_printed_ones_are_not_doubted(farm, hours):
    with_mix(farm, '["thidiazuron"]', f"rain_free_h = {hours}")
    assert farm.warnings() == []
    assert load(farm.toml, {}).settings.treatments[0].rain_free_h == hours


def test_a_misspelt_ingredient_is_a_warning_beside_stated_hours_and_a_strange_one_is_none(farm):
    with_mix(farm, '["thidiazurn", "invented boll opener"]', "rain_free_h = 24")
    assert farm.warnings() == [
        'farm.toml:65: treatments[0].ingredients[0]: got "thidiazurn", which is not known here by '
        'that name; did you mean "thidiazuron"?'
    ]


def test_where_the_hours_come_from_is_not_for_the_user_to_say(farm):
    with_mix(farm, '["ethephon"]', 'rain_free_source = "my neighbour"')
    assert farm.faults() == [
        "farm.toml:66: treatments[0].rain_free_source: got an unknown key, wanted none; it is told "
        "by where rain_free_h comes from: delete it"
    ]


def test_hours_out_of_bounds_are_told_as_before(farm):
    with_mix(farm, '["ethephon"]', "rain_free_h = -1")
    (told,) = farm.faults()
    assert told.startswith("farm.toml:66: treatments[0].rain_free_h: got -1, wanted")


def test_the_summary_tells_what_is_printed_about_warmth(farm):
    with_mix(farm, '["thidiazuron", "Ethephon", "glyphosate"]', "rain_free_h = 24")
    told = [line for line in check_lines(load(farm.toml, {})) if line.startswith("Warmth")]
    assert [line.split(":")[0] for line in told] == [
        "Warmth, thidiazuron",
        "Warmth, ethephon",
        "Warmth, all",
    ]
    assert "53.6 F (Australian consultants, CottonInfo)" in told[0]
    assert "(measured, Bartels" in told[0]
