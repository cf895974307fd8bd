"""Errors of lows kept by verify: refused before sixty nights, shown, and taken back."""

import pytest

from scheduler.commands import run as warmspell
from scheduler.opening import open_farm
from tests.scheduler import archive


@pytest.fixture
def verify(farm, tmp_path, capsys):
    """Keep an archive of some days after the season, and run ``verify`` on it."""
    text = farm.read_text("utf-8").replace("2026-10-06T11:00:00Z", "2027-01-01T12:00:00Z")
    farm.write_text(text, "utf-8")

    def run(days, *more):
        with open_farm(farm) as opened:
            archive.keep_archive(opened, days, lambda on, lead: archive.low_of(on) + on.day % 3)
        file = str(archive.write_record(tmp_path / "seen.csv", days + 9))
        capsys.readouterr()
        code = warmspell(["verify", "--observed", file, "--config", str(farm), *more])
        told = capsys.readouterr()
        return code, told.out, told.err

    return run


def standing(farm):
    with open_farm(farm) as opened:
        return opened.stores.own_errors.standing(opened.now)


def test_fewer_than_sixty_nights_are_refused_in_one_line(verify, farm):
    code, out, err = verify(59, "--keep")

    assert code == 65
    assert "Lows [F]" in out
    assert [one for one in err.splitlines() if "verify" in one] == [
        f"verify --keep: got 59 nights of {archive.SOURCE} at most, wanted 60 of one day ahead; "
        "nothing was kept of it"
    ]
    assert standing(farm) == ()


def test_sixty_nights_are_kept_only_when_asked_and_shown_from_then_on(verify, farm):
    assert verify(60)[0] == 0
    assert standing(farm) == ()

    code, _, err = verify(60, "--keep")
    assert code == 0
    assert f"Kept: errors of lows of {archive.SOURCE}, 60 nights 1 day ahead." in err
    (kept,) = standing(farm)
    assert [one.nights for one in kept.leads] == [60] * 7
    assert {one.pairs for one in kept.leads} == {60}
    assert "seen.csv" in kept.observed

    out = verify(60)[1]
    assert f"Odds count with this farm's own errors, {archive.SOURCE}, kept Fri 1 Jan:" in out
    assert "60 nights, weight 0.50" in out


def test_what_was_kept_can_be_taken_back(verify, farm, capsys):
    verify(60, "--keep")
    assert warmspell(["verify", "--forget", "--config", str(farm)]) == 0
    assert f"Taken back: own errors of lows of {archive.SOURCE}." in capsys.readouterr().err
    assert "Odds count with" not in verify(60)[1]
    assert warmspell(["verify", "--forget", "--config", str(farm)]) == 0
    assert "Nothing to take back" in capsys.readouterr().err


def test_a_table_pasted_by_hand_wins_and_that_is_said(verify, farm):
    text = farm.read_text("utf-8").replace("[dispatch]\n", "[dispatch]\nlow_bias_f = [1.0]\n", 1)
    farm.write_text(text, "utf-8")
    err = verify(60, "--keep")[2]
    assert "They are not used as long as low_bias_f in [dispatch] win over them." in err
