"""Percent open by crop, for the farm, a region or a single field."""

import pytest

from agronomy.thresholds import CROPS, MaturityRules
from config.load import load
from config.problem import ConfigError

OWN = "[field_rules.N1.maturity]\n"


def limits(farm, field_id="N1"):
    rules = load(farm.toml, {}).rules[field_id].maturity
    return rules.crop, rules.percent_open_min, rules.percent_open_floor


def test_a_full_season_crop_is_the_default():
    rules = MaturityRules()
    told = {name: getattr(rules, name) for name in CROPS["full_season"]}
    assert (rules.crop, told) == ("full_season", CROPS["full_season"])


@pytest.mark.parametrize(
    ("crop", "least", "floor"),
    [
        pytest.param("compact", 50, 50, id="UF AG188; Mississippi State 2013"),
        pytest.param("gap", 78, 68, id="Beltwide 2001, North Carolina; floor our judgement"),
    ],
)
def test_a_crop_sets_percent_open_for_its_field(farm, crop, least, floor):
    farm.edit(OWN, f'{OWN}crop = "{crop}"\n')
    assert limits(farm) == (crop, least, floor)
    assert limits(farm, "N2") == ("full_season", 60, 50)


def test_figures_named_beside_the_crop_win(farm):
    farm.edit(OWN, f'{OWN}crop = "gap"\npercent_open_min = 72\n')
    assert limits(farm) == ("gap", 72, 68)


def test_a_floor_not_named_gives_way_to_a_lower_least(farm):
    farm.edit(OWN, f'{OWN}crop = "gap"\npercent_open_min = 65\n')
    assert limits(farm) == ("gap", 65, 65)


def test_a_crop_named_nearer_outdoes_figures_named_farther_away(farm):
    farm.edit("[maturity]\n", '[maturity]\ncrop = "gap"\npercent_open_min = 70\n')
    farm.edit(OWN, f'{OWN}crop = "full_season"\n')
    assert limits(farm) == ("full_season", 60, 50)
    assert limits(farm, "N2") == ("gap", 70, 68)


def test_a_crop_of_a_field_outdoes_the_figures_of_its_region(farm):
    farm.edit("[regions.creek.gates]", "[regions.creek.maturity]\npercent_open_min = 70\n"
              "[regions.creek.gates]")  # fmt: skip
    assert limits(farm) == ("full_season", 70, 50)
    farm.edit(OWN, f'{OWN}crop = "compact"\n')
    assert limits(farm) == ("compact", 50, 50)


def test_a_crop_of_a_region_is_that_of_its_fields(farm):
    farm.edit("[regions.creek.gates]", '[regions.creek.maturity]\ncrop = "compact"\n'
              "[regions.creek.gates]")  # fmt: skip
    crops = {name: rules.maturity.crop for name, rules in load(farm.toml, {}).rules.items()}
    assert set(crops.values()) == {"compact", "full_season"}


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ('crop = "pima"\n', "field_rules.N1.maturity.crop: got"),
        ('crop = "gap"\npercent_open_floor = 80\n', "percent_open_floor is 80, above"),
    ],
)
def test_a_crop_that_cannot_be_is_told_with_its_line(farm, text, wanted):
    farm.edit(OWN, OWN + text)
    with pytest.raises(ConfigError) as caught:
        load(farm.toml, {})
    assert wanted in "\n".join(caught.value.lines)
