"""Whole mornings on answers recorded from the US National Weather Service.

The files are not part of the project; they are read below the folder named by RECORDED_ANSWERS.
"""

import json
import shutil
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from shapely.geometry import shape

from scheduler.commands import run as warmspell

FARM = """
[farm]
name = "Recorded farm"
time_zone = "by field"
fields = "fields.csv"
database = "warmspell.sqlite3"
send_at = "06:00"
deadline = "06:45"

[forecast]
source = "folder"
path = "answers"

[climate]
first_freeze_mean = "10-27"
first_freeze_sd_days = 10
killing_freeze_mean = "11-05"
killing_freeze_sd_days = 11
normal_high_f = [91, 84, 74, 62, 52]
normal_low_f = [64, 57, 45, 33, 25]

[[growers]]
id = "g"
name = "Grower"

[[people]]
id = "o"
name = "Operator"
role = "operator"
email = "o@example.org"

[[rigs]]
id = "r"
name = "Rig"
speed_mph = 12
swath_ft = 90

[[treatments]]
id = "t"
name = "Mix"
rain_free_h = 12
"""

#: OHX_14_55 is left out: its outline was made up by who recorded it and crosses itself at sea.
ANSWERS = (
    "BMX_32_69__2024-02-23",
    "FGZ_74_89__2024-02-20",
    "FWD_89_104__handedited-times",
    "LWX_95_71__trimmed-layers",
    "LZK_83_73__2024-02-20",
    "MTR_90_105__2024-03-templated",
    "OKX_1_1__2026-03-templated",
    "TBW_93_38__pynws-old",
)


@pytest.mark.parametrize("name", ANSWERS)
def test_a_recorded_answer_gives_a_whole_morning(name, recorded_answers, tmp_path, morning):
    """No traceback, no NaN, the field accounted for; the calls' numbers within their bounds."""
    source = recorded_answers / "payloads" / "nws_gridpoints" / f"{name}.json"
    answer = json.loads(source.read_text())
    outline = shape(answer["geometry"])
    inside = outline.buffer(0).representative_point()
    office, x, y = name.split("__")[0].split("_")
    farm = tmp_path / "farm"
    (farm / "answers").mkdir(parents=True)
    shutil.copy(source, farm / "answers" / f"gridpoints_{office}_{x},{y}.json")
    (farm / "farm.toml").write_text(FARM)
    (farm / "fields.csv").write_text(
        "id,name,grower_id,treatment_id,latitude,longitude,acres\n"
        f"f,Field,g,t,{inside.y:.4f},{inside.x:.4f},100\n"
    )
    issued = datetime.fromisoformat(answer["properties"]["updateTime"])
    _scouted(farm, issued)

    code, told = morning(farm, "--at", (issued + timedelta(hours=2)).isoformat())

    (field,) = told["fields"]
    assert code in (0, 3, 69)
    assert sum(told["run"]["counts"].values()) == 1
    assert field["call"] in ("spray", "short", "wait", "unknown")
    for key in ("effect_pct", "back_of_line_pct"):
        assert field[key] is None or 0 <= field[key] <= 100
    if code != 69 and field["forecast"]["issued_utc"]:
        assert field["forecast"]["age_h"] == pytest.approx(2.0, abs=0.02)


def _scouted(farm: Path, issued: datetime) -> None:
    observed = (issued - timedelta(days=1)).isoformat()
    visits = farm / "visits.csv"
    visits.write_text(
        "field_id,observed,nodes_above_cracked_boll,percent_open,plants_counted\n"
        f"f,{observed},3,70,12\n"
    )
    assert warmspell(["scout", "import", str(visits), "--config", str(farm / "farm.toml")]) == 0
