"""Looks at fields that froze, from the command line."""

import json

import pytest


@pytest.fixture
def frozen(warmspell, farm):
    """The starter farm, whose field C1 froze hard on Monday 28 September, eight days ago."""
    warmspell("freeze", "log", "C1", "--when", "2026-09-28", "--config", farm)
    return farm


@pytest.fixture
def look(warmspell):
    def call(config, found, *arguments, field="C1"):
        return warmspell(
            "freeze", "inspected", field, "--found", found, *arguments, "--config", config
        )

    return call


@pytest.fixture
def on_record(warmspell):
    """Everything ``freeze list --json`` tells."""

    def read(config):
        return json.loads(warmspell("freeze", "list", "--json", "--config", config).out)

    return read


def _waiting(told) -> list[tuple[str, str | None]]:
    return [(one["field_id"], one["found"]) for one in told["waiting"]]


def test_a_look_is_kept_once_and_listed(warmspell, frozen, look, on_record):
    typed = ("--when", "2026-10-05T10:15", "--leaves", "hold", "--bolls-cut", "20")
    typed = (*typed, "--bolls-dead", "18", "--inspector", "A. Reed", "--note", "smells")
    assert look(frozen, "killed", *typed).out.startswith("Creek Bottom: look kept (")
    assert "was known already" in look(frozen, "killed", *typed).out
    (kept,) = on_record(frozen)["inspections"]
    assert (kept["field_id"], kept["inspected_utc"]) == ("C1", "2026-10-05T15:15:00Z")
    assert (kept["found"], kept["leaves"]) == ("killed", "hold")
    assert (kept["bolls_cut"], kept["bolls_dead"]) == (20, 18)
    assert (kept["inspector"], kept["note"]) == ("A. Reed", "smells")
    table = warmspell("freeze", "list", "--config", frozen).out.splitlines()
    seen = f"found killed, leaves hold, 18 of 20 bolls dead  A. Reed  {kept['uuid'][:8]}  smells"
    assert seen in table[1]
    assert "freeze, low not known" in table[2]


@pytest.mark.parametrize(
    ("found", "told", "waiting"),
    [
        ("alive", "No freeze keeps the field out of the order.", []),
        ("killed", "The field is out of the order for this season.", []),
        ("unclear", "The field stays out of the order: look again.", [("C1", "unclear")]),
    ],
)
def test_what_was_found_settles_where_the_field_stands(
    frozen, look, on_record, found, told, waiting
):
    assert _waiting(on_record(frozen)) == [("C1", None)]
    assert look(frozen, found).out.splitlines()[1] == told
    assert _waiting(on_record(frozen)) == waiting


def test_a_look_typed_late_does_not_undo_a_later_one(frozen, look, on_record):
    look(frozen, "killed", "--when", "2026-10-05")
    told = look(frozen, "alive", "--when", "2026-10-04")
    assert told.out.splitlines()[1] == "The field is out of the order for this season."
    assert _waiting(on_record(frozen)) == []


def test_a_freeze_after_the_look_makes_the_field_wait_again(warmspell, frozen, look, on_record):
    look(frozen, "alive", "--when", "2026-10-04")
    warmspell("freeze", "log", "C1", "--when", "2026-10-05", "--low-f", "25", "--config", frozen)
    assert _waiting(on_record(frozen)) == [("C1", None)]
    assert look(frozen, "alive", "--when", "2026-10-03").out.splitlines()[1] == (
        "The field stays out of the order: look at it 10-13 Oct."
    )


@pytest.mark.parametrize("acres", [(), ("--acres", "50")])
def test_a_picked_field_waits_for_no_look(warmspell, frozen, on_record, acres):
    warmspell("harvest", "log", "C1", *acres, "--config", frozen)
    assert bool(on_record(frozen)["waiting"]) is bool(acres)


def test_a_sprayed_field_waits_for_no_look(warmspell, frozen, look, on_record):
    """Its freeze is told beside its follow-up; the label values are invented."""
    text = frozen.read_text("utf-8")
    text = text.replace("# reentry_h =", "reentry_h = 1")
    frozen.write_text(text.replace("# preharvest_days =", "preharvest_days = 7"), "utf-8")
    warmspell("spray", "log", "C1", "--when", "2026-09-20T10:00", "--config", frozen)
    assert on_record(frozen)["waiting"] == []
    told = look(frozen, "unclear")
    assert told.out.splitlines()[1] == "The field is sprayed, so this changes no call."


@pytest.mark.parametrize(
    ("arguments", "wanted"),
    [
        (("--bolls-dead", "3"), "bolls-dead: got 3 without --bolls-cut, wanted both"),
        (("--bolls-cut", "10", "--bolls-dead", "11"), "got 11, wanted at most the 10 cut"),
        (("--bolls-cut", "10", "--bolls-dead", "10"), 'got "alive" with all 10 cut bolls dead'),
        (("--bolls-cut", "0"), 'bolls-cut: got "0", wanted a whole number 1 to 500'),
        (("--bolls-cut", "501"), 'bolls-cut: got "501"'),
        (("--bolls-cut", "9.5"), 'bolls-cut: got "9.5"'),
        (("--bolls-cut", "٣"), 'bolls-cut: got "٣"'),
        (("--bolls-cut", "9" * 5000), "wanted a whole number 1 to 500"),
        (("--bolls-cut", "10", "--bolls-dead", "-1"), 'bolls-dead: got "-1"'),
        (("--when", "2026-10-06T06:01"), "wanted no later than now"),
        (("--when", "2026-10-07"), "wanted no later than now"),
        (("--when", "2026-05-13"), "wanted after the planting of Creek Bottom on 2026-05-14"),
        (("--inspector", "x" * 81), "inspector: got 81 letters, wanted at most 80"),
        (("--note", "x" * 501), "note: got 501 letters, wanted at most 500"),
    ],
)
def test_a_look_that_cannot_be_is_refused_in_one_line(frozen, look, on_record, arguments, wanted):
    told = look(frozen, "alive", *arguments)
    assert (told.code, told.out) == (65, "")
    assert told.err.startswith("inspection: ")
    assert wanted in told.err
    assert len(told.err.splitlines()) == 1
    assert on_record(frozen)["inspections"] == []


@pytest.mark.parametrize("arguments", [(), ("--found", "frozen")])
def test_a_look_needs_one_of_the_three_findings(warmspell, frozen, arguments):
    told = warmspell("freeze", "inspected", "C1", *arguments, "--config", frozen)
    assert (told.code, told.out) == (64, "")
    assert "--found" in told.err


@pytest.mark.parametrize("found", ["killed", "unclear"])
@pytest.mark.parametrize(
    "logged",
    [
        pytest.param((), id="none at all"),
        pytest.param(("--low-f", "31", "--when", "2026-10-01"), id="a mild one"),
        pytest.param(("--when", "2026-10-05T13:00"), id="one after the look"),
    ],
)
def test_a_finding_that_would_hold_nothing_is_refused(warmspell, farm, look, found, logged):
    """The field would stay among those to spray, and nobody would know."""
    if logged:
        warmspell("freeze", "log", "U1", *logged, "--config", farm)
    told = look(farm, found, "--when", "2026-10-05", field="U1")
    assert (told.code, told.out) == (65, "")
    assert f'got "{found}" for North Table with no killing freeze on record' in told.err
    assert "log it first: warmspell freeze log U1 --when DATE" in told.err


def test_a_field_found_alive_needs_no_freeze_on_record(farm, look, on_record):
    told = look(farm, "alive")
    assert told.code == 0
    assert len(on_record(farm)["inspections"]) == 1


@pytest.mark.parametrize(
    ("when", "words"),
    [
        pytest.param("2026-09-28", "froze that day", id="the same day"),
        pytest.param("2026-09-29", "looked at 1 day after the freeze", id="a day"),
        pytest.param("2026-10-02", "looked at 4 days after the freeze", id="four days"),
        pytest.param("2026-10-03", "", id="five days, from which it shows (S24)"),
    ],
)
def test_a_field_found_alive_too_early_is_told_when_to_look_again(frozen, look, when, words):
    told = look(frozen, "alive", "--when", when)
    assert told.code == 0
    assert words in told.err
    assert ("look again 3-6 Oct" in told.err) is bool(words)


def test_a_field_nobody_knows_is_asked_about(frozen, look):
    told = look(frozen, "alive", field="Creek Botom")
    assert (told.code, told.out) == (65, "")
    assert 'did you mean "Creek Bottom"?' in told.err


def test_a_look_is_committed_before_it_is_acknowledged(frozen, on_record, killed_as_it_speaks):
    killed_as_it_speaks(
        *("freeze_inspected", "freeze", "inspected", "C1", "--found", "unclear"),
        *("--config", frozen),
    )
    assert [one["found"] for one in on_record(frozen)["inspections"]] == ["unclear"]
