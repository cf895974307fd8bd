"""A mail so long that a mail program may cut its end."""

import re
from collections.abc import Iterator
from itertools import islice

import pytest

from dispatch.report import MorningReport
from farm.field import Field
from farm.people import Role
from notify.compose import FULL_CARDS, FULL_CARDS_OF_MANY, WORDED_ROWS
from notify.digest import write_digest, write_digests
from tests.notify.mornings import STOP, field, look, morning, person, spray, sprayed, unknown, wait

#: What mail programs show of a message (common knowledge, no source) [letters].
MAIL_PROGRAM_CUTS = 100_000


def _farm(each: int) -> MorningReport:
    """A morning with so many fields of every kind, all with names and growers of their own."""
    count = iter(range(1, 5 * each + 1))

    def fields() -> Iterator[tuple[Field, str]]:
        for number in islice(count, each):
            yield field(number, f"Far {number} End", f"g{number}"), f"Land {number}"

    return morning(
        *(unknown(*one) for one in fields()),
        *(spray(*one, rank) for rank, one in enumerate(fields(), start=1)),
        *(look(*one) for one in fields()),
        *(wait(*one) for one in fields()),
        *(sprayed(*one, due_today=True) for one in fields()),
    )


def test_the_caution_stands_at_the_top_and_later_fields_are_rows() -> None:
    fields = [
        spray(field(number, f"Field {number}", "odell"), "T. O'Dell", number)
        for number in range(1, 61)
    ]
    html = write_digest(morning(*fields), person(Role.OPERATOR), STOP).html

    assert html.index("The label is the law") < html.index("SPRAY NEXT") < 20_000
    assert html.count("<h3") == FULL_CARDS
    assert all(f"Field {number}<" in html for number in range(1, 61))
    assert len(html) < 130_000


@pytest.mark.parametrize("role", [Role.CONSULTANT, Role.OPERATOR, Role.DISPATCHER])
def test_a_big_farm_fits_what_mail_programs_show_and_every_field_is_in_it(role: Role) -> None:
    """Operators read waiting and checked fields as numbers past the first ones, as ever."""
    report = _farm(160)
    (told,) = write_digests(report, [person(role)], STOP)
    names = {f"Far {n} End" for n in range(1, 801)}
    listed = {"text": " ".join(told.text.split()), "html": told.html}

    assert told.faults == ()
    assert len(told.html) < MAIL_PROGRAM_CUTS
    assert told.html.count("<h3") == FULL_CARDS_OF_MANY
    for words in listed.values():
        shown = names & set(re.findall(r"Far \d+ End", words))
        more = sum(int(count) for count in re.findall(r"and (\d+) later", words))
        assert len(shown) + more == len(names)
        assert more == 0 or role is not Role.CONSULTANT


def test_every_field_to_spray_keeps_its_place_window_and_last_hour_however_many() -> None:
    told = write_digest(_farm(160), person(Role.OPERATOR), STOP)
    block = told.text[told.text.index("SPRAY NEXT") :]
    last = next(line for line in block.splitlines() if line.startswith(" 160  "))

    assert last == " 160  Far 320 End   SPRAY today 10 am-5 pm; by Thu 2 pm; 100 ac, Land 320"


def test_a_farm_of_some_dozens_is_told_in_whole_sentences_throughout() -> None:
    told = write_digest(_farm(FULL_CARDS), person(Role.CONSULTANT), STOP)

    assert 5 * FULL_CARDS <= FULL_CARDS + WORDED_ROWS
    assert told.html.count("<h3") == FULL_CARDS
    assert "After these" not in told.text


def test_fields_of_one_name_are_told_apart_where_only_names_are_told() -> None:
    fields = [look(field(n, "Home Place", f"g{n}"), f"Land {n}") for n in range(1, 81)]
    told = write_digest(morning(*fields), person(Role.OPERATOR), STOP)

    assert "Home Place (Land 80)" in " ".join(told.text.split())
