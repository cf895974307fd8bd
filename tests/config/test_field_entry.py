"""The gate of a field and what lies beside it, as entered in the fields file."""

import json

import pytest

from config.load import load

HEADER = "id,name,grower_id,treatment_id,latitude,longitude,acres"
ROW = "N1,North 1,north,mix,34.41,-101.69,96"


def table(more: str, cells: str) -> str:
    return f"{HEADER},{more}\n{ROW},{cells}\n"


def test_a_gate_and_a_neighbour_are_read_from_a_table(farm):
    text = table("entry_latitude,entry_longitude,sensitive", "34.4215,-101.69,organic melons east")
    farm.use_fields("f.csv", text)
    config = load(farm.toml, {})
    assert config.warnings == ()
    (field,) = config.fields
    assert field.entry == (34.4215, -101.69)
    assert (field.latitude, field.longitude) == (34.41, -101.69)
    assert field.sensitive == "organic melons east"


def test_a_field_without_a_gate_is_entered_at_its_own_point(farm):
    farm.use_fields("f.csv", table("sensitive", ""))
    (field,) = load(farm.toml, {}).fields
    assert field.entry == (34.41, -101.69)
    assert field.sensitive is None


def test_a_gate_is_a_property_in_a_map_file(farm, feature):
    ring = [[-101.7, 34.4], [-101.69, 34.4], [-101.69, 34.41], [-101.7, 34.41], [-101.7, 34.4]]
    # A map program may write the middle of the field beside its outline.
    told = feature(
        {"type": "Polygon", "coordinates": [ring]},
        entry_lat=34.4,
        entry_lon="-101.695",
        latitude=34.405,
        longitude=-101.695,
        sensitive="school bus stop south",
    )
    collection = {"type": "FeatureCollection", "features": [told]}
    farm.use_fields("f.geojson", json.dumps(collection))
    (field,) = load(farm.toml, {}).fields
    assert field.entry == (34.4, -101.695)
    assert field.sensitive == "school bus stop south"


def test_a_middle_written_by_a_map_program_is_no_misspelt_gate(farm, feature):
    point = {"type": "Point", "coordinates": [-101.69, 34.41]}
    told = feature(point, acres=80, latitude=34.41, longitude=-101.69)
    farm.use_fields("f.geojson", json.dumps({"type": "FeatureCollection", "features": [told]}))
    assert len(load(farm.toml, {}).fields) == 1


@pytest.mark.parametrize(
    ("more", "cells", "told"),
    [
        (
            "entry_latitude,entry_longitude",
            "34.42,",
            "f.csv:2: entry_latitude: got entry_latitude alone, wanted entry_longitude beside it; "
            "add it",
        ),
        (
            "entry_longitude",
            "-101.69",
            "f.csv:2: entry_longitude: got entry_longitude alone, wanted entry_latitude beside it; "
            "add it",
        ),
        (
            "entry_latitude,entry_longitude",
            "-101.7,34.42",
            "f.csv:2: entry_latitude: got -101.7, wanted -90 to 90; check for a swapped longitude",
        ),
        (
            "entry_latitude,entry_longitude",
            "34.42,101.7",
            "f.csv:2: entry_longitude: got 101.7, wanted -101.7? west of Greenwich is below zero; "
            "put the minus sign back",
        ),
        (
            "entry_latitude,entry_longitude",
            "north,-101.7",
            'f.csv:2: entry_latitude: got "north", wanted a plain number in decimals; write 1234 '
            "or 1234.5",
        ),
    ],
)
def test_a_gate_that_cannot_be_is_told_by_its_line(farm, more, cells, told):
    farm.use_fields("f.csv", table(more, cells))
    assert told in farm.faults()


def test_a_gate_far_from_its_field_is_worth_a_look(farm):
    # 0.05 degree of latitude is 3.45 miles: 69.0 miles a degree, WGS 84 at 34 degrees north.
    farm.use_fields("f.csv", table("entry_latitude,entry_longitude", "34.46,-101.69"))
    assert farm.warnings() == [
        "f.csv:2: entry_latitude: got a gate 3.4 miles from its field; rigs are sent there: "
        "check it"
    ]
    farm.write("f.csv", table("entry_latitude,entry_longitude", "34.45,-101.69"))
    assert farm.warnings() == []
