"""Fields from GeoJSON: outlines, points, and what map programs make of them."""

import json

import pytest

from config.load import load

#: A square of 0.01 degree, closed, counter-clockwise.
SQUARE = [[-101.7, 34.4], [-101.69, 34.4], [-101.69, 34.41], [-101.7, 34.41], [-101.7, 34.4]]


def polygon(*rings):
    return {"type": "Polygon", "coordinates": list(rings)}


def collection(*features):
    """One feature to a line, as map programs write it; the first stands on line 4."""
    rows = ",\n".join(json.dumps(feature) for feature in features)
    return f'{{\n"type": "FeatureCollection",\n"features": [\n{rows}\n]\n}}\n'


def test_an_outlined_field_has_its_ring_its_acres_and_a_point_inside(farm, feature):
    farm.use_fields("f.geojson", collection(feature(polygon(SQUARE), region="creek")))
    (field,) = load(farm.toml, {}).fields
    assert field.outline == tuple(map(tuple, SQUARE))
    assert 34.4 < field.latitude < 34.41
    assert -101.7 < field.longitude < -101.69
    # On a sphere of 3958.8 miles (mean radius, IUGG 1980) a square of 0.01 degree at latitude
    # 34.405 holds (0.01 deg)^2 R^2 cos(lat) = 0.3939 square miles = 252.1 acres; the ellipsoid
    # differs by less than 1 %.
    assert field.acres == pytest.approx(252.1, rel=0.01)
    assert (field.region, field.cold_spot_f, field.planted_on) == ("creek", 0, None)


def test_a_point_needs_acres(farm, feature):
    point = {"type": "Point", "coordinates": [-101.7, 34.4, 950.0]}
    farm.use_fields("f.geojson", collection(feature(point), feature(point, id="B", acres=80)))
    assert farm.faults() == [
        'f.geojson:4: features[0] (id "N1").acres: got nothing, wanted a number, above 0, at most '
        "20000 acres; enter the acres to be sprayed"
    ]
    farm.write("f.geojson", collection(feature(point, acres=80)))
    (field,) = load(farm.toml, {}).fields
    assert (field.latitude, field.longitude, field.acres) == (34.4, -101.7, 80)
    assert field.outline is None


def test_numbers_as_ids_and_short_names_are_understood(farm):
    named = {"name": "x", "grower": "north", "treatment": "mix", "OBJECTID": 3, "acres": "250.5"}
    features = [
        {"type": "Feature", "id": 7, "properties": named, "geometry": polygon(SQUARE)},
        {"type": "Feature", "properties": {**named, "id": 8.0}, "geometry": polygon(SQUARE)},
        {"type": "Feature", "properties": {**named, "id": "009"}, "geometry": polygon(SQUARE)},
    ]
    farm.use_fields("f.geojson", collection(*features))
    fields = load(farm.toml, {}).fields
    assert [field.id for field in fields] == ["7", "8", "009"]
    assert {field.acres for field in fields} == {250.5}


@pytest.mark.fault("I13")
def test_acres_that_differ_from_the_outline_are_a_warning_naming_both(farm, feature):
    near, far = feature(polygon(SQUARE), acres=280), feature(polygon(SQUARE), id="B", acres=80)
    farm.use_fields("f.geojson", collection(near, far))
    (warning,) = farm.warnings()
    assert warning.startswith('f.geojson:5: features[1] (id "B").acres: got 80 acres, but the ')
    assert "measures 252." in warning
    assert [field.acres for field in load(farm.toml, {}).fields] == [280, 80]


BOW_TIE = [[-101.70, 34.40], [-101.69, 34.41], [-101.69, 34.40], [-101.70, 34.41], [-101.70, 34.40]]


@pytest.mark.fault("I08")
@pytest.mark.parametrize(
    ("geometry", "told"),
    [
        (
            polygon(BOW_TIE),
            "geometry: got an outline that crosses itself at longitude -101.695000, latitude "
            "34.405000, wanted a simple one; move that corner",
        ),
        (
            polygon(SQUARE[:2]),
            "geometry: got a ring of 2 different points, wanted at least 3 and the first again at "
            "the end; draw the outline again",
        ),
        (
            polygon([[lat, lon] for lon, lat in SQUARE]),
            "latitude: got -101.695 with longitude 34.405, wanted them the other way round? "
            "swap them",
        ),
        (
            polygon([[-lon, lat] for lon, lat in SQUARE]),
            "longitude: got 101.695, wanted -101.695? west of Greenwich is below zero; "
            "put the minus sign back",
        ),
        (
            polygon([[252_000.5, 3_811_000], *SQUARE]),
            "geometry: got the position [252000.5, 3811000], wanted [longitude, latitude] in "
            "degrees; export it as WGS 84 (EPSG:4326)",
        ),
        (
            polygon([["a", 34.4], *SQUARE]),
            "geometry: got the position ['a', 34.4], wanted [longitude, latitude] in degrees; "
            "export it as WGS 84 (EPSG:4326)",
        ),
        (
            {"type": "LineString", "coordinates": SQUARE},
            'geometry: got a geometry of type "LineString", wanted Polygon, MultiPolygon or Point; '
            "draw the field as one",
        ),
        (None, "geometry: got no geometry, wanted a Polygon or a Point; draw the field"),
        (
            {"type": "MultiPolygon", "coordinates": []},
            "geometry: got no polygons, wanted Polygon, MultiPolygon or Point; "
            "draw the field as one",
        ),
    ],
)
def test_a_bad_geometry_is_told_by_feature_and_line(farm, feature, geometry, told):
    good = feature(polygon(SQUARE), id="A")
    farm.use_fields("f.geojson", collection(good, feature(geometry)))
    assert farm.faults() == [f'f.geojson:5: features[1] (id "N1").{told}']


def test_features_over_several_lines_are_told_where_they_start(farm, feature):
    features = [feature(polygon(SQUARE), id=one) for one in ("A", "B", "a ")]
    text = json.dumps({"type": "FeatureCollection", "features": features}, indent=1)
    farm.use_fields("f.geojson", text)
    starts = [number for number, line in enumerate(text.splitlines(), 1) if line == "  {"]
    (told,) = farm.faults()
    assert told.startswith(
        f'f.geojson:{starts[2]}: features[2] (id "a ").id: got "a", wanted an id of its own; "A" '
        f"on line {starts[0]} has it too"
    )


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ('{"type": "FeatureCollection",\n"features": [}', "f.geojson:2: column 14: got text that"),
        ('{"type": "Feature"}', "f.geojson:1: type: got no FeatureCollection"),
        ("[1]", "f.geojson:1: type: got no FeatureCollection"),
        ('{"type": NaN}', "f.geojson:1: file: got NaN, wanted numbers that are finite"),
        ('{"type": 1, "type": 2}', 'f.geojson:1: file: got "type" twice in one object'),
        ("[" * 100_000, "f.geojson:1: "),
        ('{"type": "FeatureCollection", "features": []}', "f.geojson:1: file: got no fields"),
        (
            '{"type": "FeatureCollection", "features": [], "crs": {"properties": {"name": '
            '"urn:ogc:def:crs:EPSG::26914"}}}',
            "f.geojson:1: crs: got a projected coordinate system",
        ),
    ],
)
def test_what_is_no_feature_collection_is_told(farm, text, told):
    farm.use_fields("f.geojson", text)
    assert len(farm.faults()) == 1
    assert farm.faults()[0].startswith(told)


def test_a_misspelt_property_is_told_and_other_programs_properties_are_not(farm, feature):
    shape = polygon(SQUARE)
    farm.use_fields("f.geojson", collection(feature(shape, soil="clay", cold_spot=3)))
    assert farm.faults() == [
        "f.geojson:4: features[0].cold_spot: got an unknown property, wanted a known one; "
        'did you mean "cold_spot_f"?'
    ]


def test_numbers_that_are_none_are_told(farm, feature):
    shape = polygon(SQUARE)
    farm.use_fields("f.geojson", collection(feature(shape, acres="many", cold_spot_f=True)))
    assert [line.split(": ", 2)[2].split(",")[0] for line in farm.faults()] == [
        'got "many"',
        "got true",
    ]
