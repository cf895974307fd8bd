"""docs/agronomy.md says what the constants say, and says it of all of them."""

import re

import pytest

from agronomy.thresholds import MaturityRules, SprayGates
from dispatch.policy import DispatchPolicy
from scripts.agronomy_constants import comments_of, groups_in, values_in
from scripts.write_agronomy_docs import (
    HOUSE,
    PAGE,
    all_groups,
    codes_not_spelled_out,
    page,
    sources_of,
)

FILE = '''"""What a week is worth. More."""

#: Warming that doubles the work [deg F]. Common practice, no printed source.
DOUBLING_F = 10.0
#: A value that runs
#: over two lines [%]; after Kerby et al. 1992 (S3). Judgement otherwise.
LOSS = np.int8(7)
#: Taken from another file [F]; same fit.
ERRORS = OTHER
#: Fewest and most plants [plants]. Judgement.
FEWEST, MOST = 15, 100
_HIDDEN = 3
PLAIN = 4


class Gates(BaseModel):
    """What can be set; judgement unless a source is named. More."""

    #: Least wind [mph]. Georgia 2021 (S30).
    wind_mph: float = Field(default=3.0, ge=0)
    bare_days: int = Field(default=7, ge=1)
    given: float = Field(ge=0)
'''


def constants(text=FILE, place="agronomy/invented.py"):
    named = values_in("OTHER = (1.5, 2.0)\n")
    return {one.name: one for group in groups_in(text, place, named) for one in group.constants}


def test_the_page_is_the_one_the_constants_give():
    assert PAGE.read_text("utf-8") == page(), "run python -m scripts.write_agronomy_docs"


@pytest.mark.parametrize("model", [SprayGates, MaturityRules, DispatchPolicy])
def test_every_setting_is_in_the_page_with_its_default(model):
    rows = dict(re.findall(r"^\| `(\w+)` \| ([^|]*) \|", PAGE.read_text("utf-8"), re.MULTILINE))
    for name, setting in model.model_fields.items():
        assert name in rows
        if isinstance(setting.default, bool):
            assert rows[name] == str(setting.default)
        elif isinstance(setting.default, int | float):
            assert float(rows[name]) == setting.default
        elif isinstance(setting.default, tuple):
            assert tuple(map(float, rows[name].split(", "))) == setting.default


def test_every_commented_constant_of_the_formulas_is_in_the_page():
    files = [path for room in ("agronomy", "dispatch") for path in (HOUSE / room).rglob("*.py")]
    named = [
        name
        for path in files
        for name in re.findall(r"^ *#:.*\n *([A-Za-z]\w*)\b(?=.*=)", path.read_text("utf-8"), re.M)
    ]
    text = PAGE.read_text("utf-8")
    assert len(named) > 60
    assert [name for name in named if f"| `{name}` |" not in text] == []


def test_every_code_of_a_source_is_spelled_out():
    assert codes_not_spelled_out() == []


@pytest.mark.parametrize("title", ["## Where sources disagree", "## Looked for and not found"])
def test_disagreements_and_gaps_are_told(title):
    text = PAGE.read_text("utf-8")
    assert len(text.partition(title)[2].partition("\n## ")[0]) > 200


def test_a_constant_is_told_with_value_unit_and_mark():
    told = constants()["DOUBLING_F"]
    assert (told.value, told.unit, told.mark) == ("10", "deg F", "common practice")
    assert told.what == "Warming that doubles the work."
    assert told.why == "Common practice, no printed source."


def test_a_comment_of_two_lines_is_one_text_and_et_al_no_end_of_a_sentence():
    told = constants()["LOSS"]
    assert told.what == "A value that runs over two lines; after Kerby et al. 1992 (S3)."
    assert (told.value, told.codes, told.mark) == ("7", ("S3",), "printed, judgement")


def test_a_value_that_another_file_gives_is_written_out():
    told = constants()["ERRORS"]
    assert (told.value, told.mark) == ("1.5, 2", "measured")


def test_settings_are_told_by_their_default_and_the_mark_of_their_class():
    told = constants()
    assert (told["wind_mph"].value, told["wind_mph"].mark) == ("3", "printed")
    assert (told["bare_days"].value, told["bare_days"].mark) == ("7", "judgement")
    assert told["bare_days"].unit == "days"


def test_two_constants_on_one_line_are_told_apart():
    told = constants()
    assert (told["FEWEST"].value, told["MOST"].value) == ("15", "100")
    assert told["FEWEST"].comment == told["MOST"].comment


def test_what_has_no_comment_or_no_default_is_left_out():
    assert {"_HIDDEN", "PLAIN", "given"} & set(constants()) == set()


def test_comments_belong_to_the_line_after_them():
    assert comments_of("#: one\n#: two\nA = 1\n\n#: lost\n\nB = 2\n")[3] == "one two"
    assert 7 not in comments_of("#: one\n#: two\nA = 1\n\n#: lost\n\nB = 2\n")


def test_a_table_of_sources_is_read_by_code():
    assert sources_of("| S10b | says | who, 1999 |\n| x | y | z |\n") == {
        "S10b": ("says", "who, 1999")
    }


def test_no_two_groups_share_a_place():
    places = [group.place for group in all_groups()]
    assert len(places) == len(set(places))
