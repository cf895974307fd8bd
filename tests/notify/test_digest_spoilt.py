"""Finished digests spoiled in many ways, each caught; the whole ones pass."""

import re
from collections.abc import Callable
from datetime import timedelta

import pytest
from mornings import MADE, STOP, field, full_morning, morning, person, spray, unknown

from dispatch.report import Call, FieldCall, FreezeFigures, MorningReport
from farm.people import Role
from notify.digest import write_digest
from notify.digest_check import Words, faults_in

Spoil = Callable[[Words], Words]


def written(role: Role = Role.OPERATOR, report: MorningReport | None = None) -> Words:
    digest = write_digest(report or full_morning(), person(role), STOP)
    return Words(digest.subject, digest.text, digest.html, digest.sms)


def faults(words: Words, role: Role = Role.OPERATOR, report: MorningReport | None = None) -> str:
    told = faults_in(words, report or full_morning(), person(role), STOP, 2)
    return "; ".join(told)


def change(old: str, new: str, *where: str) -> Spoil:
    """Every ``old`` becomes ``new``, in some of the parts."""

    def spoil(words: Words) -> Words:
        told = {one: getattr(words, one) for one in ("subject", "text", "html", "sms")}
        for one in where:
            assert re.search(old, told[one]), f"{old} is not in the {one}"
            told[one] = re.sub(old, new, told[one])
        return Words(**told)

    return spoil


SPOILT = [
    ("a field to spray is left out", change(r"(?ms)^  2  .*?(?=^  3  )", "", "text"), "3 fields"),
    ("two fields changed places", change("Long Bottom", "O'Dell's North Draw", "text"), "3 in the"),
    ("a field is listed twice", change(r"(?m)^(  1  .*)$", r"\1\n\1", "text"), "do not rise"),
    ("a field too many to spray", change(r"(?m)^(  4  .*)$", r"\1\n  5  West 80", "text"), "5 fie"),
    ("the spray list is gone", change(r"(?s)SPRAY NEXT.*?\n\n", "", "text"), "0 fields to spray"),
    ("the list of those not known is gone", change("NOT KNOWN", "OTHERS", "text"), "have no list"),
    (
        "those not known stand last",
        change(r"(?s)\n(NOT KNOWN.*?\n\n)(SPRAY NEXT.*?\n\n)", r"\n\2\1", "text"),
        "do not stand first",
    ),
    ("a count is off by one", change("9 to wait", "8 to wait", "text"), "no account that adds up"),
    ("the whole is off by one", change("18 fields:", "17 fields:", "text"), "no account"),
    ("the account is gone", change(r"18 fields: [^.]*\.", "", "text"), "no account"),
    ("the subject says more", change("spray 4", "spray 5", "subject"), "subject: does not say"),
    ("the subject says none", change("spray 4", "no spray", "subject"), "subject: does not say"),
    ("the subject hides those not known", change("1 not known", "all well", "subject"), "subject"),
    ("the text message says more", change("Spray 4", "Spray 9", "sms"), "sms: does not say"),
    ("the text message hides those not known", change("1 not known", "", "sms"), "sms: does not"),
    ("the text message has no way to stop", change("STOP", "", "sms"), "sms: no STOP"),
    ("the text message has no caution", change("Label is law", "", "sms"), "sms: no Label is law"),
    ("the text message is too long", change("$", "x" * 200, "sms"), "sms: takes "),
    ("the text message has dear letters", change("Spray", "Spr\u00e4y", "sms"), "cost more"),
    ("the caution is gone", change("The label is the law", "", "text"), "text: no caution"),
    ("the mail's caution is gone", change("The label is the law", "", "html"), "html: no caution"),
    ("the way to stop is gone", change("(?i)to stop these mails", "", "text"), "text: no way"),
    ("the mail's way to stop is gone", change("(?i)to stop these mails", "", "html"), "html: no w"),
    ("the age of the forecast is gone", change("Forecast:", "", "text"), "text: no forecast line"),
    ("the mail's age is gone", change("Forecast:", "", "html"), "html: no forecast line"),
    ("the mail leaves out a field", change("Long Bottom", "", "html"), "html: 1 fields are not"),
    ("a field not known is not named", change("Cottonwood 3", "", "text"), "text: 1 fields"),
    ("a field to walk is not named", change("East Pivot", "", "text"), "text: 1 fields are not na"),
    ("a number is nan", change("31 h dry", "nan h dry", "text"), "holds 'nan'"),
    ("a value is None", change("31 h dry", "None h dry", "html"), "html: holds 'None'"),
    ("a time is NaT", change("today 10 am", "NaT", "text"), "holds 'NaT'"),
    ("a template is not filled in", change("31 h", "{{ rain }}", "text"), "text: holds '{'"),
    ("a format is not filled in", change("31 h", "%(rain)s", "text"), "holds '%('"),
    ("a number is infinite", change("118 ac", "inf ac", "text"), "holds 'inf'"),
    ("a thing is told for its name", change("118 ac", "<x object at 0x7f>", "text"), "object at"),
    ("a fault is told", change("118 ac", "Traceback", "text"), "holds 'Traceback'"),
    ("the subject breaks its line", change("spray 4", "spray 4\nBcc: x", "subject"), "line break"),
]


@pytest.mark.parametrize(
    ("spoil", "told"), [pytest.param(spoil, told, id=name) for name, spoil, told in SPOILT]
)
def test_a_spoilt_digest_is_caught(spoil: Spoil, told: str) -> None:
    good = written()
    assert faults(good) == ""
    spoilt = spoil(good)
    assert spoilt != good

    assert told in faults(spoilt)


@pytest.mark.parametrize("name", ["Cottonwood 3", "Tank Field", "Ruhl & Sons", "West 84"])
@pytest.mark.parametrize("where", ["subject", "text", "sms"])
def test_a_neighbours_name_anywhere_is_caught(name: str, where: str) -> None:
    spoilt = change("$", f" {name}", where)(written(Role.GROWER))

    assert f"{where}: names another grower" in faults(spoilt, Role.GROWER)


def lacking(**more: object) -> MorningReport:
    whole = spray(field(1, "North Draw", "odell"), "T. O'Dell", 1)
    return morning(whole.model_copy(update=more))


NORTH = spray(field(1, "North Draw", "odell"), "T. O'Dell", 1)
PAST = NORTH.windows[0].model_copy(update={"end_utc": MADE - timedelta(minutes=1)})
PARTIAL = NORTH.windows[0].model_copy(update={"full": False})


def with_forecast(**more: object) -> dict[str, object]:
    return {"forecast": NORTH.forecast.model_copy(update=more)}


def with_count(**more: object) -> dict[str, object]:
    return {"maturity": NORTH.maturity.model_copy(update=more)}


@pytest.mark.parametrize(
    ("more", "lacks"),
    [
        pytest.param({"windows": ()}, "a window ahead", id="no window"),
        pytest.param({"windows": (PAST,)}, "a window ahead", id="a window that is over"),
        pytest.param({"windows": (PARTIAL,)}, "a window ahead", id="only a partial window"),
        pytest.param({"effect_pct": None}, "an effect", id="no effect"),
        pytest.param({"effect_pct": 140.0}, "an effect", id="an effect past 100"),
        pytest.param({"freeze": FreezeFigures()}, "freeze odds", id="no freeze figures"),
        pytest.param(
            {"freeze": NORTH.freeze.model_copy(update={"known_through_utc": None})},
            "how far the nights are known",
            id="nights not known",
        ),
        pytest.param(with_forecast(age_h=None), "a forecast young enough", id="no age"),
        pytest.param(with_forecast(age_h=-1.0), "a forecast young enough", id="from the future"),
        pytest.param(
            with_forecast(age_h=13.0, age_mark="old"), "a forecast young enough", id="13 h old"
        ),
        pytest.param(with_count(state="unknown"), "a count that says mature", id="no maturity"),
        pytest.param(with_count(state="nearly"), "a count that says mature", id="not mature"),
        pytest.param(with_count(visit_age_days=None), "the age of that count", id="no visit"),
        pytest.param({"rank": None}, "a place in the order", id="no place"),
    ],
)
def test_a_call_to_spray_without_its_evidence_is_caught(more, lacks) -> None:
    report = lacking(**more)
    told = faults(written(report=report), report=report)

    assert "North Draw: called for spraying without" in told
    assert lacks in told


def test_a_call_to_spray_with_all_its_evidence_passes() -> None:
    report = lacking()

    assert faults(written(report=report), report=report) == ""


@pytest.mark.parametrize(
    ("figures", "told"),
    [
        ({"fields": 3}, "3 fields told, 2 there"),
        ({"frozen": 1}, "1 frozen told, 0 there"),
        ({"sprayed": 2}, "2 sprayed told, 0 there"),
        ({"picked": 1}, "1 picked told, 0 there"),
        ({"held": 1}, "1 held told, 0 there"),
        ({"counts": {Call.SPRAY: 2}}, "the five calls do not add up"),
    ],
)
def test_lists_that_do_not_add_up_are_caught(figures, told) -> None:
    def farm(**more: object) -> MorningReport:
        return morning(unknown(field(2, "Gin Road", "ruhl"), "Ruhl & Sons"), NORTH, **more)

    assert faults(written(report=farm()), report=farm()) == ""
    assert told in faults(written(report=farm(**figures)), report=farm(**figures))


def test_a_field_that_is_there_twice_or_out_of_order_is_caught() -> None:
    twice = morning(NORTH, NORTH.model_copy(update={"rank": 2}))
    other: FieldCall = spray(field(2, "Gin Road", "ruhl"), "Ruhl & Sons", 2)
    turned = morning(other, NORTH)

    assert "a field is there twice" in faults(written(report=twice), report=twice)
    assert "not ranked one after the other" in faults(written(report=turned), report=turned)
