"""Finding the field a person means."""

import pytest

from farm.field import Field
from scheduler.data_error import DataError
from scheduler.opening import find_field


def field(field_id: str, name: str = "Home", zone: str = "America/Chicago") -> Field:
    return Field(
        id=field_id,
        name=name,
        grower_id="g",
        latitude=36,
        longitude=-97,
        acres=10,
        time_zone=zone,
        treatment_id="t",
    )


FIELDS = {
    one.id: one
    for one in (field("nd1", "North Draw"), field("h1", "Home Place"), field("h2", "Home Place"))
}


@pytest.mark.parametrize("text", ["nd1", "ND1", "North Draw", " north draw "])
def test_a_field_is_found_by_id_or_name(text):
    assert find_field(text, FIELDS).id == "nd1"


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("home place", 'got "home place", which 2 fields are called; say h1, h2'),
        ("North Drew", 'got "North Drew", wanted the id or name of a registered field; did you'),
        ("zzz", "see warmspell rank for all"),
    ],
)
def test_a_field_that_is_not_there_is_asked_about(text, wanted):
    with pytest.raises(DataError) as refusal:
        find_field(text, FIELDS)
    assert wanted in refusal.value.lines[0]
