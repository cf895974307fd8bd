"""Application records from the command line, and what the label allows after them."""

import json
from datetime import UTC, datetime
from uuid import uuid4
from zoneinfo import ZoneInfo

import pytest

from farm.records import Spray
from farm.treatment import Treatment
from scheduler.spray_record import intervals, not_before

LOG = ("spray", "log", "C1", "--when", "2026-10-05T14:20", "--applicator", "A. Reed")


@pytest.fixture
def labelled(farm):
    """The starter farm with invented label values: 48 hours to re-entry, 7 days to harvest."""
    text = farm.read_text("utf-8")
    for key, value in (("reentry_h", 48), ("preharvest_days", 7)):
        assert text.count(f"# {key} =") == 1
        text = text.replace(f"# {key} =", f"{key} = {value}")
    farm.write_text(text, "utf-8")
    return farm


def test_a_spray_is_logged_once_and_listed(warmspell, labelled):
    assert warmspell(*LOG, "--config", labelled).out.startswith("Creek Bottom: spray kept")
    assert "known already" in warmspell(*LOG, "--config", labelled).out
    told = json.loads(warmspell("spray", "list", "--json", "--config", labelled).out)["sprays"]
    assert [
        (one["field_id"], one["sprayed_utc"], one["reentry_utc"], one["harvest_utc"])
        for one in told
    ] == [("C1", "2026-10-05T19:20:00Z", "2026-10-07T19:20:00Z", "2026-10-12T19:20:00Z")]
    table = warmspell("spray", "list", "--config", labelled).out
    for moment in ("Mon 5 Oct 14:20", "Wed 7 Oct 14:20", "Mon 12 Oct 14:20"):
        assert moment in table


def test_logging_a_spray_tells_the_earliest_re_entry_and_harvest(warmspell, labelled):
    """48 hours and 7 days after Monday 5 October, 2:20 pm."""
    assert warmspell(*LOG, "--config", labelled).out.splitlines()[1:] == [
        "Re-entry not before Wed 7 Oct 14:20, by the label values entered",
        "Harvest not before Mon 12 Oct 14:20, by the label values entered",
    ]


@pytest.mark.parametrize(
    ("given", "missing"),
    [
        ((), ("reentry_h", "preharvest_days")),
        (("reentry_h",), ("preharvest_days",)),
        (("preharvest_days",), ("reentry_h",)),
    ],
)
def test_a_spray_is_not_logged_before_the_label_values_are_entered(warmspell, farm, given, missing):
    text = farm.read_text("utf-8")
    for key in given:
        text = text.replace(f"# {key} =", f"{key} = 9")
    farm.write_text(text, "utf-8")
    told = warmspell(*LOG, "--config", farm)
    assert (told.code, told.out) == (65, "")
    assert f"enter {' and '.join(missing)} of treatment example-mix from its label" in told.err
    assert len(told.err.splitlines()) == 1
    listed = warmspell("spray", "list", "--json", "--config", farm).out
    assert json.loads(listed) == {"sprays": []}


def test_zero_is_a_label_value_too(warmspell, labelled):
    labelled.write_text(labelled.read_text("utf-8").replace("reentry_h = 48", "reentry_h = 0"))
    assert "Re-entry not before Mon 5 Oct 14:20" in warmspell(*LOG, "--config", labelled).out


def test_a_spray_of_a_mix_that_is_gone_is_listed_without_intervals(warmspell, labelled):
    warmspell(*LOG, "--config", labelled)
    text = labelled.read_text("utf-8").replace('"example-mix"', '"other-mix"')
    labelled.write_text(text, "utf-8")
    fields = labelled.parent / "fields.csv"
    fields.write_text(fields.read_text("utf-8").replace("example-mix", "other-mix"), "utf-8")
    (told,) = json.loads(warmspell("spray", "list", "--json", "--config", labelled).out)["sprays"]
    assert (told["reentry_utc"], told["harvest_utc"]) == (None, None)
    assert "not entered" in warmspell("spray", "list", "--config", labelled).out


def test_a_begun_minute_counts_whole_and_a_day_is_24_hours():
    """Across the end of summer time, 1 November 2026, 2 am: the clock shows an hour less."""
    moment = datetime(2026, 10, 29, 20, 15, 1, tzinfo=UTC)
    spray = Spray(uuid=uuid4(), field_id="f", sprayed_utc=moment, treatment_id="mix")
    mix = Treatment(id="mix", name="Mix", rain_free_h=12, reentry_h=24, preharvest_days=7)
    after, zone = intervals(spray, mix), ZoneInfo("America/Chicago")
    assert not_before(after.reentry_utc, zone) == "Fri 30 Oct 15:16"
    assert not_before(after.harvest_utc, zone) == "Thu 5 Nov 14:16"
    assert not_before(moment.replace(second=0), zone) == "Thu 29 Oct 15:15"


@pytest.mark.parametrize(
    ("arguments", "wanted"),
    [
        (["--treatment", "example-mux"], 'did you mean "example-mix"?'),
        (["--rig", "hawk"], 'rig: got "hawk", which the config does not have'),
        (["--when", "2026-10-08T10:00"], "wanted no later than now"),
        (["--when", "noon"], "wanted a date and a time such as"),
        (["--note", "x" * 501], "note: got 501 letters, wanted at most 500"),
    ],
)
def test_a_spray_that_cannot_be_is_refused(warmspell, labelled, arguments, wanted):
    told = warmspell("spray", "log", "C1", *arguments, "--config", labelled)
    assert (told.code, told.out) == (65, "")
    assert wanted in told.err
