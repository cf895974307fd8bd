"""Who tells the forecast of a region or of one field: checked as the farm's own, and shown."""

from config.check import check_lines
from config.load import load
from forecasts.tellers import Tellers

SOURCE = 'source = "nws"'
GATES = "[regions.creek.gates]"


def named(farm, table: str, text: str) -> None:
    """Lay a table before the region's gates, on line 28."""
    farm.edit(GATES, f"[{table}.forecast]\n{text}\n\n{GATES}")


def forecast_lines(farm) -> list[str]:
    return [one for one in check_lines(load(farm.toml, {})) if one.startswith("Forecast")]


def test_a_region_is_told_by_whom_it_names_and_the_others_by_the_farms(farm):
    named(farm, "regions.creek", 'source = "met_norway"\nstand_in = "nws"')
    config = load(farm.toml, {})

    assert config.tellers == {
        "N1": Tellers("met_norway", "nws"),
        "N2": Tellers("nws"),
        "S1": Tellers("nws"),
    }
    assert config.services == ("met_norway", "nws")
    assert config.warnings == ()


def test_a_field_outdoes_its_region_key_by_key(farm):
    farm.edit(SOURCE, f'{SOURCE}\nnon_commercial = true\nextend = "open_meteo"')
    named(farm, "regions.creek", 'source = "met_norway"\nstand_in = "nws"')
    named(farm, "field_rules.N1", 'stand_in = "none"\nextend = "none"')
    named(farm, "field_rules.S1", 'source = "open_meteo"\nextend = "none"')

    assert load(farm.toml, {}).tellers == {
        "N1": Tellers("met_norway", None, None),
        "N2": Tellers("nws", None, "open_meteo"),
        "S1": Tellers("open_meteo", None, None),
    }


def test_check_shows_who_tells_each_region_and_each_field_of_its_own(farm):
    farm.edit(SOURCE, f"{SOURCE}\nnon_commercial = true")
    named(farm, "regions.creek", 'source = "met_norway"\nstand_in = "nws"')
    named(farm, "field_rules.S1", 'extend = "open_meteo"')

    assert forecast_lines(farm) == [
        "Forecast: US National Weather Service, contact sky@gin.test",
        "Forecast, region creek (1 field): Data from MET Norway (CC BY 4.0), in its place where "
        "it fails US National Weather Service",
        "Forecast, field South 1: US National Weather Service, further ahead, beside the calls, "
        "Open-Meteo.com (CC BY 4.0)",
    ]


def test_open_meteo_for_a_region_needs_a_key_or_a_word_as_for_the_farm(farm):
    named(farm, "regions.creek", 'source = "open_meteo"')
    assert farm.faults() == [
        'farm.toml:29: regions.creek.forecast.source: source is "open_meteo", which is free for '
        "non-commercial use only; name your key with api_key_env or api_key_file, or affirm "
        "non_commercial = true"
    ]


def test_a_service_that_wants_a_name_gets_one_whoever_leads_elsewhere(farm):
    farm.edit(f'{SOURCE}\ncontact = "sky@gin.test"', 'source = "open_meteo"\nnon_commercial = true')
    named(farm, "field_rules.S1", 'source = "nws"')
    assert farm.faults() == [
        'farm.toml:29: field_rules.S1.forecast.source: contact is missing and source is "nws"; '
        "enter a mail address the weather service can write to"
    ]


def test_nobody_stands_in_for_itself_in_a_region(farm):
    farm.edit(SOURCE, f'{SOURCE}\nstand_in = "met_norway"')
    named(farm, "regions.creek", 'source = "met_norway"')
    assert farm.faults() == [
        'farm.toml:30: regions.creek.forecast.source: stand_in is "met_norway", wanted another '
        'than source; name another or write "none"'
    ]


def test_a_fault_of_the_region_is_told_once_and_not_for_its_fields_again(farm):
    named(farm, "regions.creek", 'stand_in = "nws"')
    named(farm, "field_rules.N1", 'extend = "none"')
    (line,) = farm.faults()
    assert line.startswith("farm.toml:29: regions.creek.forecast.stand_in: stand_in is ")


def test_a_region_names_nothing_else_of_the_forecast(farm):
    named(farm, "regions.creek", 'source = "folder"\ncontact = "x@gin.test"')
    assert farm.faults() == [
        'farm.toml:29: regions.creek.forecast.source: got "folder", wanted one of "nws", '
        '"open_meteo", "met_norway"; choose one of them',
        "farm.toml:30: regions.creek.forecast.contact: got an unknown key, wanted a known one; "
        "it belongs under [forecast]",
    ]


def test_a_region_that_no_field_has_is_warned_of(farm):
    named(farm, "regions.crek", 'source = "met_norway"')
    assert farm.warnings() == [
        "farm.toml:28: regions.crek.forecast: got who tells the forecast of a region that no "
        "field has, so it counts for nobody; correct the name, or the region in the fields file"
    ]


def test_where_answers_are_replayed_a_region_names_whose_and_needs_no_contact(farm):
    (farm.folder / "answers").mkdir()
    farm.edit(f'{SOURCE}\ncontact = "sky@gin.test"', 'source = "folder"\npath = "answers"')
    named(farm, "regions.creek", 'source = "met_norway"\nstand_in = "open_meteo"')
    config = load(farm.toml, {})

    assert config.tellers["N1"] == Tellers("met_norway", "open_meteo")
    assert config.tellers["S1"] == Tellers("folder")
    assert config.services == ()
    assert forecast_lines(farm)[0] == 'Forecast: answers recorded in "answers"'


def test_a_place_abroad_is_warned_of_only_where_the_us_service_leads(farm):
    # Near Toowoomba and Emerald, in the cotton country of Australia.
    farm.edit("34.42,-101.71", "-27.56,151.95", "fields.csv")
    farm.edit("34.53,-101.82", "-23.52,148.16", "fields.csv")
    named(farm, "field_rules.S1", 'source = "met_norway"')
    (line,) = farm.warnings()
    assert line.startswith("fields.csv:3: latitude: got a place outside the country of the weather")


def test_the_word_for_a_contact_counts_for_whoever_is_asked_anywhere(farm):
    farm.edit(
        f'{SOURCE}\ncontact = "sky@gin.test"',
        'source = "open_meteo"\nnon_commercial = true\ncontact = "sky@example.com"',
    )
    assert load(farm.toml, {}).warnings == ()
    named(farm, "regions.creek", 'source = "met_norway"')
    (line,) = farm.warnings()
    assert "forecast.contact: got an example address" in line
