"""Files that are not TOML, or not a file at all."""

import pytest


@pytest.mark.fault("I01")
@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        (
            'send_at = "06:00"',
            "send_at = 6:00",
            "farm.toml:5: column 12: got text that is not TOML (expected newline or end of "
            "document after a statement); put text and times in quotes, such as "
            'send_at = "06:00"',
        ),
        (
            'send_at = "06:00"',
            'send_at: "06:00"',
            "farm.toml:5: column 8: got text that is not TOML (expected '=' after a key in a "
            "key/value pair); write key = value, with an equals sign, not a colon",
        ),
        (
            "wind_min_mph = 3",
            "wind_min_mph = 03",
            "farm.toml:14: column 17: got text that is not TOML (expected newline or end of "
            'document after a statement); put text and times in quotes, such as send_at = "06:00"',
        ),
        (
            'name = "Big rig"',
            "name = NO",
            "farm.toml:58: column 8: got text that is not TOML (invalid value); put text in "
            'straight quotes, such as name = "North Draw"',
        ),
    ],
    ids=["time without quotes", "colon", "leading zero", "word without quotes"],
)
def test_what_is_not_toml_is_told_by_line_and_column(farm, old, new, told):
    farm.edit(old, new)
    assert farm.faults() == [told]


@pytest.mark.fault("I03")
def test_a_key_that_stands_twice_names_both_lines(farm):
    farm.edit("wind_max_mph = 10", "wind_max_mph = 10\nwind_min_mph = 4")
    assert farm.faults() == [
        "farm.toml:16: gates.wind_min_mph: got it a second time, wanted once; it also stands on "
        "line 14: delete one"
    ]


def test_a_table_that_stands_twice_names_both_lines(farm):
    farm.edit("[maturity]", "[gates]")
    assert farm.faults() == [
        "farm.toml:17: gates: got it a second time, wanted once; it also stands on line 13: "
        "delete one"
    ]


def test_no_file_offers_to_make_one(farm):
    farm.toml.unlink()
    assert farm.faults() == [
        "farm.toml:1: file: got no file to read (no such file or directory), wanted one; check "
        "the name, or make a starter with: warmspell init FOLDER"
    ]


def test_a_file_that_is_not_utf8_is_told_by_line(farm):
    farm.write("farm.toml", farm.toml.read_bytes().replace(b'Sam"', b'Sam\xe9"'))
    assert farm.faults() == [
        "farm.toml:44: file: got the byte 0xe9, which is not UTF-8; save the file as UTF-8"
    ]


def test_a_file_as_a_windows_editor_leaves_it_is_read(farm):
    text = farm.toml.read_text("utf-8").replace("\n", "\r\n")
    farm.write("farm.toml", b"\xef\xbb\xbf" + text.encode())
    assert farm.warnings() == []


@pytest.mark.fault("I06")
def test_a_huge_file_and_endless_brackets_are_refused(farm):
    farm.write("farm.toml", "# " + "x" * 1_000_000)
    assert "wanted at most 1,000,000" in farm.faults()[0]
    farm.write("farm.toml", "a = " + "[" * 100_000)
    assert farm.faults()[0].startswith("farm.toml:1: ")
