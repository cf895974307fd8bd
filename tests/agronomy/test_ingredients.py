"""Printed hours without rain and notes on warmth, by active ingredient."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from agronomy.ingredients import (
    KNOWN,
    ingredient,
    longest_of_mix,
    printed_rain_free,
    rain_free_hours_of,
    temperature_notes,
)

TABLE = "Univ. of Georgia Extension, Tattnall County, 2015, rain-free table"

PUBLISHED = [
    pytest.param(["thidiazuron"], 24, id=f"{TABLE}: thidiazuron"),
    pytest.param(["ethephon"], 6, id=f"{TABLE}: ethephon"),
    pytest.param(["thidiazuron", "diuron"], 12, id=f"{TABLE}: thidiazuron and diuron"),
    pytest.param(["tribufos"], 1, id=f"{TABLE}: tribufos"),
    pytest.param(["ethephon", "cyclanilide"], 6, id=f"{TABLE}: ethephon and cyclanilide"),
    pytest.param(["carfentrazone"], 8, id=f"{TABLE}: carfentrazone"),
    pytest.param(["pyraflufen-ethyl"], 1, id=f"{TABLE}: pyraflufen-ethyl"),
    pytest.param(["carfentrazone", "fluthiacet-methyl"], 8, id=f"{TABLE}: both of these"),
    pytest.param(["paraquat"], 0.5, id=f"{TABLE}: paraquat"),
    pytest.param(
        ["thidiazuron", "tribufos"], 12, id="Univ. of Georgia Extension, Ben Hill County, 2022"
    ),
]

#: The longest of a mix, worked by hand on the two sources above.
WORKED = [
    pytest.param(["thidiazuron", "tribufos", "ethephon"], 12, id="tribufos cuts 24 to 12"),
    pytest.param(["thidiazuron", "ethephon"], 24, id="nothing cuts 24"),
    pytest.param(["tribufos", "ethephon"], 6, id="6 of 1 and 6"),
    pytest.param(["thidiazuron", "diuron", "tribufos"], 12, id="12 of 12 and 12"),
    pytest.param(["paraquat", "pyraflufen-ethyl"], 1, id="1 of 0.5 and 1"),
    pytest.param(["thidiazuron", "diuron", "carfentrazone"], 12, id="12 of 12 and 8"),
]


@pytest.mark.parametrize(("mix", "hours"), PUBLISHED + WORKED)
def test_hours_without_rain_are_those_printed_and_the_longest_of_the_mix(mix, hours):
    told = rain_free_hours_of(mix)
    assert (told.hours, told.missing) == (hours, ())
    assert "Univ. of Georgia" in told.source
    assert rain_free_hours_of(reversed(mix)).hours == hours


@pytest.mark.parametrize(
    "name",
    [
        *("dimethipin", "endothal", "endothall", "saflufenacil", "flumiclorac", "glyphosate"),
        *("sodium chlorate", "diuron", "cyclanilide", "fluthiacet-methyl", "some new one"),
    ],
)
def test_what_no_source_prints_is_never_filled_in(name):
    """Looked for and not found in print; pairs are printed as pairs only."""
    assert rain_free_hours_of([name]) == (None, "", (name,))
    assert rain_free_hours_of(["tribufos", name]).hours is None


def test_a_mix_of_nothing_has_no_hours():
    assert rain_free_hours_of([]) == (None, "", ())


def test_the_source_names_the_tank_mix_where_that_decides():
    assert rain_free_hours_of(["thidiazuron", "tribufos"]).source == (
        "printed for thidiazuron + tribufos 12 h: Univ. of Georgia Extension, Ben Hill County, 2022"
    )


def test_names_are_found_by_any_spelling_a_label_uses():
    assert ingredient("  Carfentrazone-Ethyl ") == "carfentrazone"
    assert ingredient("ENDOTHALL") == "endothal"
    assert ingredient("sodium   chlorate") == "sodium chlorate"
    assert ingredient("ethefon") is None


def test_the_longest_interval_holds_for_the_mix():
    """40 CFR 170.112 (2007): with several products the longest re-entry interval holds."""
    assert longest_of_mix([48, 12]) == 48
    assert longest_of_mix([48, None]) is None
    assert longest_of_mix([]) is None


def test_notes_on_warmth_keep_what_disagrees_and_say_which_is_measured():
    notes = temperature_notes("thidiazuron")
    assert [one.words[:28] for one in notes if "65 F" in one.words or "53.6" in one.words] == [
        "very little activity once ni",
        "used where nights stay above",
    ]
    assert [one.measured for one in notes] == [False, False, True]
    assert all(one.source for name in KNOWN for one in temperature_notes(name))


@pytest.mark.parametrize("name", ["glyphosate", "endothal", "sodium chlorate", "some new one"])
def test_where_no_note_was_found_there_is_none(name):
    assert temperature_notes(name) == ()


@given(st.lists(st.sampled_from(sorted(KNOWN)), max_size=6), st.sampled_from(sorted(KNOWN)))
def test_one_more_ingredient_shortens_a_mix_only_where_a_pair_is_printed(mix, more):
    """A pair's own row may stand in for thidiazuron's 24; nothing else may take hours away."""
    before, after = rain_free_hours_of(mix), rain_free_hours_of([*mix, more])
    if before.hours is not None and after.hours is not None and after.hours < before.hours:
        assert "thidiazuron" in mix
        assert more in {"tribufos", "diuron"}
    if after.hours is not None:
        assert after.hours == max(row.hours for row in printed_rain_free([*mix, more]))
