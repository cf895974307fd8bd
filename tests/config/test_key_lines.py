"""The locator of TOML keys, on texts written by hand and on generated ones."""

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from config.key_lines import key_lines

TEXT = '''\
# a note with = and [brackets]
title = "a # that is no note"

[farm] # note
name.short = 'x'
"two words" = """
not.a.key = 1
\\""" still inside
""""" # two quotes belong to the text
raw = \'\'\'
[not.a.table]\'\'\'
"caf\\u00e9" = 1

[[people]]
id = "a"
address = { mail = "m", phones = [1, 2] }

[[people]]
id = "b"
lists = [
  1, # one

  [2,
   3],
  { deep = 4 },
]
[people.more]
x = 2026-10-06 11:10:00

[regions . "north side" . gates]
y=1
'''


@pytest.mark.parametrize(
    ("path", "line"),
    [
        (("title",), 2),
        (("farm",), 4),
        (("farm", "name"), 5),
        (("farm", "name", "short"), 5),
        (("farm", "two words"), 6),
        (("farm", "raw"), 10),
        (("farm", "café"), 12),
        (("people",), 14),
        (("people", 0), 14),
        (("people", 0, "id"), 15),
        (("people", 0, "address", "phones", 1), 16),
        (("people", 1), 18),
        (("people", 1, "id"), 19),
        (("people", 1, "lists", 0), 21),
        (("people", 1, "lists", 1), 23),
        (("people", 1, "lists", 1, 1), 24),
        (("people", 1, "lists", 2, "deep"), 25),
        (("people", 1, "more", "x"), 28),
        (("regions",), 30),
        (("regions", "north side", "gates", "y"), 31),
    ],
)
def test_a_key_is_found_on_the_line_it_stands_on(path, line):
    assert tomllib.loads(TEXT)
    assert key_lines(TEXT).line(path) == line


def test_carriage_returns_do_not_move_lines():
    assert key_lines(TEXT.replace("\n", "\r\n")).lines == key_lines(TEXT).lines


def test_a_key_that_is_not_there_has_the_line_of_what_is_around_it():
    assert key_lines(TEXT).line(("people", 1, "missing")) == 18
    assert key_lines(TEXT).line(("nothing", "here")) == 1


@pytest.mark.parametrize(
    ("text", "repeat"),
    [
        ("a = 1\n\na = 2\n", (("a",), 1, 3)),
        ("[a]\nb = 1\n[a]\nc = 1\n", (("a",), 1, 3)),
        ("[a]\nb = 1\n[a.b]\nc = 1\n", (("a", "b"), 2, 3)),
        ("[[a]]\nx = 1\n[a]\n", (("a",), 1, 3)),
        ("x = { y = 1,  y = 2 }\n", (("x", "y"), 1, 1)),
    ],
)
def test_a_key_that_stands_twice_is_told_with_both_lines(text, repeat):
    assert key_lines(text).repeats == [repeat]


def test_an_unreadable_text_gives_the_keys_before_the_fault():
    found = key_lines('a = 1\nb = "open\nc = 2\n')
    assert found.lines[("a",)] == 1
    assert ("c",) not in found.lines


@given(st.text(alphabet="ab=[]{}.,\"'# \n\\1", max_size=60))
def test_no_text_stops_the_locator(text):
    key_lines(text)


# Each written form of a value, with the lines it takes.
VALUES = st.sampled_from(
    [
        "1",
        '"text # = ["',
        "'[x]'",
        "true # = note",
        '"""\nkey = 1\n[table]\n"""',
        "'''\n'' \"\"\" '''",
        "[1, 2]",
        '[\n  "a", # ]\n\n  [1],\n]',
        "{ x = 1, y = { z = [1] } }",
        "2026-10-06T11:10:00Z",
    ]
)
KEYS = st.sampled_from(["a", "b-c", '"d e"', "'f.g'", "h.i", '"j" . k', "7", '"\\u0041"'])
BLANKS = st.sampled_from(["", "\n", "# note = 1\n", "  \n\t# [x]\n"])
BODIES = st.lists(st.tuples(BLANKS, KEYS, VALUES), max_size=5, unique_by=lambda entry: entry[1])
HEADERS = st.sampled_from(["[t{}]", "[t{}.sub]", "[ t{} . 'q r' ]", "[[list]]", "[[outer.list]]"])
DOCUMENTS = st.tuples(BODIES, st.lists(st.tuples(HEADERS, BODIES), max_size=6))


def key_path(written):
    """The path of a dotted key, by the standard reader."""
    table, path = tomllib.loads(f"{written} = 1"), []
    while isinstance(table, dict):
        (key,) = table
        path.append(key)
        table = table[key]
    return tuple(path)


def lay_out(document):
    """The text of a generated document and the line of each of its tables and keys."""
    top, tables = document
    text, lines, counts = "", {}, {}

    def body(path, entries):
        nonlocal text
        for blank, key, value in entries:
            text += blank
            lines[path + key_path(key)] = text.count("\n") + 1
            text += f"{key} = {value}\n"

    body((), [entry for entry in top if entry[1] in ("a", '"d e"', "h.i")])
    for number, (form, entries) in enumerate(tables):
        header = form.format(number)
        path = key_path(header.strip("[]"))
        if form.startswith("[["):
            counts[path] = counts.get(path, -1) + 1
            path = (*path, counts[path])
        lines[path] = text.count("\n") + 1
        text += header + "\n"
        body(path, entries)
    return text, lines


def paths_in(value, path=()):
    if isinstance(value, dict | list):
        pairs = value.items() if isinstance(value, dict) else enumerate(value)
        for key, inner in pairs:
            yield (*path, key)
            yield from paths_in(inner, (*path, key))


@given(DOCUMENTS)
def test_every_key_of_a_generated_text_is_found_on_its_line(document):
    text, lines = lay_out(document)
    found = key_lines(text)
    assert found.repeats == []
    assert {path: found.lines.get(path) for path in lines} == lines
    assert set(paths_in(tomllib.loads(text))) == set(found.lines)
