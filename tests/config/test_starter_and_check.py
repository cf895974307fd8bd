"""The starter, the summary of a checked farm, and the list of defaults."""

import re
import tomllib
from importlib.resources import files
from itertools import pairwise

import pytest

from agronomy.thresholds import MaturityRules, SprayGates
from config.check import check_lines
from config.climate_table import ClimateTable
from config.load import load
from config.problem import ConfigError
from config.starter import write_starter
from dispatch.policy import Climate, DispatchPolicy, HarvestCapacity
from dispatch.routes.settings import RouteSettings
from forecasts.settings import ForecastSettings
from web.settings import BoardSettings

DEFAULTS = files("config") / "defaults.toml"
CLASSES = {
    "gates": SprayGates,
    "maturity": MaturityRules,
    "dispatch": DispatchPolicy,
    "harvest": HarvestCapacity,
    "routes": RouteSettings,
    "forecast": lambda: ForecastSettings(contact="sky@gin.test"),
    "board": BoardSettings,
}


def test_the_starter_loads_and_says_what_is_still_an_example(tmp_path):
    folder = tmp_path / "new" / "farm"
    assert write_starter(folder) == [folder / "farm.toml", folder / "fields.csv"]
    config = load(folder / "farm.toml", {})
    assert len(config.fields) == 5
    told = "\n".join(config.warnings)
    assert "treatments[0].id: got the starter's example, whose hours come from no label" in told
    assert "forecast.contact: got an example address" in told


def test_every_line_the_starter_switches_off_can_be_switched_on(tmp_path):
    """Except those whose numbers only a label can give, which are left empty."""
    write_starter(tmp_path)
    text = (tmp_path / "farm.toml").read_text("utf-8")
    switched = re.sub(r"^# (?=\[|[a-z_]+ = )", "", text, flags=re.MULTILINE)
    assert switched.count("\n[mail]") == 1
    assert re.findall(r"^# ([a-z_]+) =  ", switched, re.MULTILINE) == []
    label_only = r"^(reentry_h|preharvest_days|gallons_per_acre) = .*\n"
    assert len(re.findall(label_only, switched, re.MULTILINE)) == 3
    filled = re.sub(label_only, "", switched, flags=re.MULTILINE)
    (tmp_path / "farm.toml").write_text(filled, "utf-8")
    variables = {"WARMSPELL_MAIL_PASSWORD": "x", "WARMSPELL_SMS_SECRET": "y"}
    config = load(tmp_path / "farm.toml", variables)
    assert config.rules["C1"].gates.wind_max_mph == 8
    assert "people" not in "\n".join(config.warnings)


def test_the_starter_never_overwrites(tmp_path):
    (tmp_path / "fields.csv").write_text("mine", "utf-8")
    with pytest.raises(ConfigError, match="already there") as caught:
        write_starter(tmp_path)
    assert caught.value.lines[0].startswith(f"{tmp_path / 'fields.csv'}:1: file: got a file")
    assert (tmp_path / "fields.csv").read_text("utf-8") == "mine"
    assert not (tmp_path / "farm.toml").exists()


def test_a_starter_that_cannot_be_written_is_told(tmp_path):
    (tmp_path / "file").write_text("", "utf-8")
    with pytest.raises(ConfigError, match="cannot be written"):
        write_starter(tmp_path / "file" / "farm")


def test_the_summary_counts_what_there_is(farm):
    lines = check_lines(load(farm.toml, {}))
    assert lines == [
        "Test Gin: 3 fields, 280 ac, 2 growers, 0 with an outline, 1 region",
        "Rigs: Big rig (90 ft at 12 mph)",
        "Treatments: Mix (12 h without rain, 3 fields)",
        "People: 1 consultant, 1 grower; by mail and sms",
        "Digest at 06:00, by 06:45, not after 12:00, America/Chicago",
        "Forecast: US National Weather Service, contact sky@gin.test",
        "Texts: by gateway, only to who agreed, none from 21:00 until 05:00 (reader's clock)",
        "In order; no warnings.",
    ]


@pytest.mark.parametrize("table", list(CLASSES))
def test_the_list_of_defaults_is_that_of_the_classes(table):
    listed = tomllib.loads(DEFAULTS.read_text("utf-8"))
    assert set(listed) == set(CLASSES)
    built = CLASSES[table]().model_dump(mode="json", exclude_none=True, exclude={"contact"})
    assert listed[table] == built


def test_every_default_has_a_note_above_it():
    lines = DEFAULTS.read_text("utf-8").splitlines()
    bare = [
        line
        for above, line in pairwise(lines)
        if re.match(r"\w+ =", line) and not above.startswith("# ")
    ]
    assert bare == []


def test_the_climate_table_has_the_bounds_of_the_climate():
    same = set(Climate.model_fields) & set(ClimateTable.model_fields)
    assert len(same) == len(Climate.model_fields) - 2
    for name in same:
        ours, theirs = ClimateTable.model_fields[name], Climate.model_fields[name]
        assert (ours.default, ours.metadata) == (theirs.default, theirs.metadata), name
