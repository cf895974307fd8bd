"""The text message: its alphabet, its length, and what stays when it is too long."""

import pytest
from hypothesis import given
from hypothesis import strategies as some
from mornings import (
    at,
    field,
    freeze,
    fresh,
    full_morning,
    look,
    morning,
    person,
    short,
    spray,
    unknown,
    wait,
)

from dispatch.report import ForecastFigures
from farm.people import Role
from notify.gsm7 import gsm7, segments, septets
from notify.sms import sms_text

OPERATOR = person(Role.OPERATOR)
END = "Label is law. Reply STOP to end"


def test_a_full_morning_fits_and_tells_the_order() -> None:
    assert sms_text(full_morning(), OPERATOR) == (
        "Tue 6 Oct Sandhill Co-op: 1 not known: Cottonwood 3. Spray 4 (1 short): "
        "1 O'Dell's North Draw by Thu 2pm, 2 <img src=x by Thu 2pm, "
        "3 Long Bottom by Wed 14 Oct 4pm, 4 Mill Quarter SHORT today 9am. "
        "Walk 2: East Pivot, Gin Road. Freeze seen Sun 5am, low 27.6F Mon. " + END
    )


@pytest.mark.fault("T10")
def test_a_long_order_is_cut_from_its_end_and_says_how_many_are_left() -> None:
    fields = [spray(field(n, f"Long Draw Number {n}", "a"), "A", n) for n in range(1, 31)]
    text = sms_text(morning(unknown(field(99, "Pit", "a"), "A"), *fields), OPERATOR)

    assert segments(text) == 2
    assert "1 not known" in text
    assert "Spray 30: 1 Long Draw Number 1 by Thu 2pm" in text
    assert "+2" in text
    assert "30 Long Draw" not in text
    assert "No freeze seen through Mon 6pm, 1 not known, low 34F Mon." in text
    assert text.endswith(END)


def test_a_grower_is_told_their_fields_only() -> None:
    text = sms_text(full_morning(), person(Role.GROWER))

    assert "Spray 3 (1 short): 1 O'Dell's North Draw" in text
    assert "2 Long Bottom" in text
    assert "Cottonwood" not in text
    assert "img" not in text


def test_without_a_fresh_forecast_it_says_so() -> None:
    gone = ForecastFigures(problem="no answer")
    text = sms_text(morning(unknown(field(1, "East", "a"), "A", forecast=gone)), OPERATOR)

    assert "1 not known: East. No spray. No fresh forecast. Freeze not ruled out." in text


def test_an_ageing_forecast_tells_its_age() -> None:
    one = look(field(1, "East", "a"), "A", forecast=fresh(age_mark="ageing", age_h=7.0))

    assert "Forecast 7 h old." in sms_text(morning(one), OPERATOR)


def test_a_quiet_morning_is_one_segment() -> None:
    text = sms_text(morning(wait(field(1, "East", "a"), "A")), OPERATOR)

    assert "Nothing to spray or walk." in text
    assert segments(text) == 1


@pytest.mark.parametrize(
    ("text", "plain"),
    [
        ("low 28\N{DEGREE SIGN}F", "low 28F"),
        (
            "Do\N{LATIN SMALL LETTER N WITH TILDE}a Mar\N{LATIN SMALL LETTER I WITH ACUTE}a",
            "Dona Maria",
        ),
        ("O\N{RIGHT SINGLE QUOTATION MARK}Dell\N{NO-BREAK SPACE}\N{EN DASH} 5", "O'Dell - 5"),
        ("[a]{b}~c|d\\e^f`", "(a)(b)-c/d/ef"),
        ("Draw \N{SEEDLING}\u202e\x07 3", "Draw 3"),
    ],
)
def test_letters_outside_the_alphabet_get_a_likeness_or_go(text: str, plain: str) -> None:
    assert gsm7(text) == plain


@pytest.mark.parametrize(
    ("text", "cost", "parts"),
    [
        pytest.param("a" * 160, 160, 1, id="3GPP TS 23.038: 160 septets alone"),
        pytest.param("a" * 161, 161, 2, id="3GPP TS 23.040: 153 septets a part"),
        pytest.param("a" * 306, 306, 2, id="two parts of 153"),
        pytest.param("a" * 307, 307, 3, id="one over"),
        pytest.param("[" * 80, 160, 1, id="extension table: two septets each"),
        pytest.param("[" * 153, 306, 3, id="a pair is not split, so 76 fit a part"),
    ],
)
def test_septets_and_parts_are_counted_as_the_standard_says(
    text: str, cost: int, parts: int
) -> None:
    assert (septets(text), segments(text)) == (cost, parts)


@pytest.mark.fault("T09", "T10")
@given(
    names=some.lists(some.text(min_size=1, max_size=80), min_size=1, max_size=12),
    farm=some.text(min_size=1, max_size=80),
    most=some.integers(min_value=1, max_value=3),
)
def test_whatever_people_type_the_text_fits_and_keeps_what_matters(
    names: list[str], farm: str, most: int
) -> None:
    cold = freeze(first_utc=at(14, 4), low_f=27.6, low_utc=at(14, 5))
    fields = [
        unknown(field(0, names[0], "a"), "A"),
        *(spray(field(n, name, "a"), name, n, freeze=cold) for n, name in enumerate(names, 1)),
        short(field(90, names[-1], "a"), "A", 90),
        look(field(91, names[0], "a"), "A"),
    ]
    text = sms_text(morning(*fields, farm_name=farm), OPERATOR, most)

    assert segments(text) <= most
    assert text.isascii()
    assert "1 not known" in text
    assert f"Spray {len(names) + 1} (1 short)" in text
    assert "Freeze seen " in text
    assert "low 27.6F" in text
    assert text.endswith(END)


@given(some.text(max_size=200))
def test_what_is_made_plain_costs_one_septet_a_letter(text: str) -> None:
    plain = gsm7(text)

    assert septets(plain) == len(plain)
