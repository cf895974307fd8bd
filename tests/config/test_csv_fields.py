"""Fields from CSV files as spreadsheets, and people, leave them."""

import pytest

from config.csv_fields import number_from
from config.load import load

HEADER = "id,name,grower_id,treatment_id,latitude,longitude,acres,region,planted_on,cold_spot_f"
ROW = "N1,North 1,north,mix,34.41,-101.69,96,creek,2026-05-14,3"


def table(*rows):
    return "\n".join((HEADER, *rows)) + "\n"


@pytest.mark.parametrize(
    ("row", "told"),
    [
        (
            "N1,North 1,north,mix,331.2,-101.69,96,,,",
            "latitude: got 331.2, wanted -90 to 90; check for a swapped longitude",
        ),
        (
            "N1,North 1,north,mix,-101.69,34.41,96,,,",
            "latitude: got -101.69 with longitude 34.41, wanted them the other way round? "
            "swap them",
        ),
        (
            "N1,North 1,north,mix,-80.2,35.1,96,,,",
            "latitude: got -80.2 with longitude 35.1, wanted them the other way round? swap them",
        ),
        (
            "N1,North 1,north,mix,80.2,35.1,96,,,",
            "latitude: got 80.2 with longitude 35.1, wanted them the other way round? "
            "swap them and put the minus sign back",
        ),
        (
            "N1,North 1,north,mix,34.41,101.69,96,,,",
            "longitude: got 101.69, wanted -101.69? west of Greenwich is below zero; "
            "put the minus sign back",
        ),
        (
            "N1,North 1,north,mix,0,0,96,,,",
            "latitude: got 0, 0, wanted the place of the field; fill in the coordinates",
        ),
        (
            "N1,North 1,north,mix,nan,-101.69,96,,,",
            'latitude: got "nan", wanted a plain number in decimals; write 1234 or 1234.5',
        ),
        (
            "N1,North 1,north,mix,34.41,-101.69,,,,",
            "acres: got nothing, wanted a number, above 0, at most 20000 acres; "
            "enter the acres to be sprayed",
        ),
        (
            "N1,North 1,north,mix,34.41,-101.69,0,,,",
            "acres: got 0.0, wanted above 0, at most 20000 acres; enter the acres to be sprayed",
        ),
        (
            'N1,North 1,north,mix,34.41,-101.69,"1,234",,,',
            'acres: got "1,234", wanted a plain number in decimals; write 1234 or 1234.5',
        ),
        (
            "N1,North 1,nroth,mix,34.41,-101.69,96,,,",
            'grower_id: got "nroth", wanted the id of a grower, such as "north", "south"; '
            'did you mean "north"?',
        ),
        (
            "N1,North 1,north,mx,34.41,-101.69,96,,,",
            'treatment_id: got "mx", wanted the id of a treatment, such as "mix"; '
            'did you mean "mix"?',
        ),
        (
            "N1,North 1,north,mix,34.41,-101.69,96,crek,,",
            'region: got "crek", wanted the name of a region, such as "creek"; '
            'did you mean "creek"?',
        ),
        (
            "N1,North 1,north,mix,34.41,-101.69,96,,14.5.2026,",
            'planted_on: got "14.5.2026", wanted a date such as 2026-05-12; correct it',
        ),
        (
            "N1,North 1,north,mix,34.41,-101.69,96,,,30",
            "cold_spot_f: got 30.0, wanted 0 to 15 deg F; check the number and its unit",
        ),
        (
            ",North 1,north,mix,34.41,-101.69,96,,,",
            "id: got nothing, wanted text in quotes, 1 to 64 characters; add it",
        ),
        (
            "N1,North 1,north,mix,34.41,-101.69",
            "row: got 6 cells, wanted 10 as in the header; look for a missing or a loose separator",
        ),
        (
            "N1,North, the 1st,north,mix,34.41,-101.69,96,,,",
            "row: got 11 cells, wanted 10 as in the header; look for a missing or a loose "
            "separator",
        ),
    ],
)
def test_a_bad_row_is_told_by_line_column_and_what_to_do(farm, row, told):
    farm.use_fields("f.csv", table("", "A1,A,north,mix,34.5,-101.7,80,,,", row))
    assert farm.faults() == [f"f.csv:4: {told}"]


@pytest.mark.fault("I07")
def test_the_same_id_twice_names_both_lines(farm):
    farm.use_fields("f.csv", table(ROW, ROW.replace("N1", "X"), ROW.replace("N1", "n1 ")))
    assert farm.faults() == [
        'f.csv:4: id: got "n1", wanted an id of its own; "N1" on line 2 has it too: rename one '
        "(capitals and spaces do not tell them apart)"
    ]


def test_a_row_over_several_lines_is_told_where_it_starts(farm):
    farm.use_fields("f.csv", table('N1,"North\n1",north,mix,34.41,-101.69,96,,,', "N2,x"))
    assert [line.split(": got")[0] for line in farm.faults()] == ["f.csv:2: name", "f.csv:4: row"]


def test_a_quote_that_is_not_closed_is_told(farm):
    farm.use_fields("f.csv", table(ROW, 'N2,"North 2,north,mix,34.41,-101.69,96,,,'))
    assert farm.faults()[0].startswith("f.csv:3: row: got a row that is not CSV")


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        (
            "cold_spot_f",
            "cold_spot",
            'cold_spot: got an unknown column, wanted a known one; did you mean "cold_spot_f"?',
        ),
        ("region", "acres", "acres: got the column twice, wanted it once; delete one"),
        ("acres", "note", f"acres: got no such column, wanted {HEADER}; add it"),
    ],
)
def test_a_bad_header_is_told(farm, old, new, told):
    wanted = (
        "id,name,grower_id,treatment_id,region,acres,planted_on,cold_spot_f,entry_latitude,"
        "entry_longitude,sensitive,latitude,longitude"
    )
    farm.use_fields("f.csv", table(ROW).replace(old, new, 1))
    assert f"f.csv:1: {told}".replace(HEADER, wanted) in farm.faults()


def test_a_column_of_ones_own_is_left_alone_with_a_warning(farm):
    text = "\n".join(f"{line},x" for line in table(ROW).splitlines()).replace("f,x", "f,soil", 1)
    farm.use_fields("f.csv", text)
    assert farm.warnings() == ["f.csv:1: soil: got a column that is not known; it is not read"]


@pytest.mark.parametrize("field_id", ["007", "NA", "None", "null", "1E5", "1.0", "TRUE", "#7", "-"])
def test_an_id_stays_the_text_it_is(farm, field_id):
    farm.use_fields("f.csv", table(ROW.replace("N1", field_id)))
    assert [field.id for field in load(farm.toml, {}).fields] == [field_id]


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_separators_and_marks_of_spreadsheets_are_understood(farm, separator, encoding):
    text = table(ROW.replace("North 1", "Peña 1")).replace(",", separator).replace("\n", "\r\n")
    farm.use_fields("f.csv", text.encode(encoding))
    config = load(farm.toml, {})
    assert config.warnings == ()
    (field,) = config.fields
    assert (field.id, field.name, field.acres) == ("N1", "Peña 1", 96)
    assert (field.latitude, field.longitude, field.cold_spot_f) == (34.41, -101.69, 3)


def test_windows_1252_is_read_with_a_warning(farm):
    farm.use_fields("f.csv", table(ROW.replace("North 1", "Peña 1")).encode("cp1252"))
    assert farm.warnings() == [
        "f.csv:2: file: got text that is not UTF-8, read as Windows-1252; check the names"
    ]
    assert load(farm.toml, {}).fields[0].name == "Peña 1"


def test_a_decimal_comma_is_read_where_semicolons_part_the_columns(farm):
    row = ROW.replace(",", ";").replace("34.41", "34,41").replace("-101.69", "-101,69")
    farm.use_fields("f.csv", f"{HEADER.replace(',', ';')}\n{row.replace(';96;', ';96,5;')}\n")
    (field,) = load(farm.toml, {}).fields
    assert (field.latitude, field.longitude, field.acres) == (34.41, -101.69, 96.5)


def test_a_comma_that_may_mean_thousands_is_refused():
    assert number_from("34,410", decimal_comma=True) == 34.41
    with pytest.raises(ValueError, match="wanted a plain number"):
        number_from("1,234", decimal_comma=True, is_large=True)


@pytest.mark.parametrize("text", ["1e3", "4,5", "1_000", "four", "inf", "0x10", "", "1 234", "--3"])
def test_only_plain_decimals_are_numbers(text):
    with pytest.raises(ValueError, match="wanted a plain number"):
        number_from(text)


def test_empty_columns_at_the_end_are_left_alone(farm):
    farm.use_fields("f.csv", table(ROW).replace("\n", ",,\n"))
    assert farm.warnings() == []


def test_headings_as_people_write_them_are_understood(farm):
    head = "ID,Name,Grower,Treatment,Lat,Lon,Acres,Region,Planted On,Cold spot F"
    farm.use_fields("f.csv", f"{head}\n{ROW}\n")
    assert load(farm.toml, {}).fields[0].longitude == -101.69


@pytest.mark.parametrize("text", ["", "\n", HEADER, f"{HEADER}\n,,,,,,,,,\n"])
def test_a_file_without_fields_is_an_error_never_a_quiet_farm_of_none(farm, text):
    farm.use_fields("f.csv", text)
    assert len(farm.faults()) == 1


def test_other_files_are_refused(farm):
    farm.use_fields("f.xlsx", b"PK\x03\x04")
    assert farm.faults() == [
        'f.xlsx:1: file: got a file ending in ".xlsx", wanted .geojson or .csv; export it so'
    ]
    farm.edit("f.xlsx", "g.csv")
    farm.write("g.csv", b"PK\x03\x04\x00\x00")
    assert "not text" in farm.faults()[0]
