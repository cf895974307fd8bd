"""``warmspell verify`` as a person uses it."""

import json

from scheduler.opening import open_farm
from tests.scheduler import archive


def test_a_record_is_verified_from_the_command_line(warmspell, farm, tmp_path):
    text = farm.read_text("utf-8").replace("2026-10-06T11:00:00Z", "2026-11-20T12:00:00Z")
    farm.write_text(text, "utf-8")
    with open_farm(farm) as opened:
        archive.keep_archive(opened, 12, lambda on, lead: archive.low_of(on) + 2.0)
    record, picture = archive.write_record(tmp_path / "seen.csv", 30), tmp_path / "scores.png"
    told = warmspell("verify", "--observed", record, "--plot", picture, "--config", farm)
    assert told.code == 0
    assert told.out.startswith("Forecasts against what was observed\n")
    assert picture.read_bytes().startswith(b"\x89PNG")
    lows = json.loads(warmspell("verify", "--observed", record, "--json", "--config", farm).out)
    assert lows["sources"][0]["lows"][0]["bias_f"] == 2.0


def test_nothing_to_verify_against_is_a_usage_fault(warmspell, farm):
    told = warmspell("verify", "--config", farm)
    assert (told.code, told.out) == (64, "")
    assert "--observed" in told.err
    assert "--station" in told.err


def test_a_record_that_is_not_there_is_one_line(warmspell, farm, tmp_path):
    told = warmspell("verify", "--observed", tmp_path / "none.csv", "--config", farm)
    assert (told.code, told.out) == (65, "")
    assert told.err.count("\n") == 1


def test_a_picture_of_another_ending_is_refused(warmspell, farm, tmp_path):
    record = archive.write_record(tmp_path / "seen.csv", 3)
    told = warmspell("verify", "--observed", record, "--plot", "x.gif", "--config", farm)
    assert told.code == 65
    assert "--plot: got x.gif, wanted a name that ends in .png or .svg" in told.err
