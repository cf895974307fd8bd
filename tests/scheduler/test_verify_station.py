"""Verification against a station's reports, as recorded in a folder."""

import json
from datetime import UTC, datetime, timedelta

import pytest

from forecasts.errors import ForecastError
from scheduler.data_error import DataError
from scheduler.opening import open_farm
from scheduler.verification import verify
from tests.scheduler import archive


@pytest.fixture
def station_farm(farm):
    """The starter farm reading from a folder, a week after its archive begins."""
    text = farm.read_text("utf-8")
    text = text.replace("2026-10-06T11:00:00Z", "2026-10-04T12:00:00Z")
    text = text.replace('source = "nws"', 'source = "folder"\npath = "recorded"', 1)
    farm.write_text(text, "utf-8")
    (farm.parent / "recorded").mkdir()
    return farm


def hourly(station_farm, reports: int, temp_c=None):
    """Hourly reports from 20 September, 5 am in Chicago, near the starter's North Table."""
    start = datetime(2026, 9, 20, 10, 53, tzinfo=UTC)
    features = [
        {
            "geometry": {"type": "Point", "coordinates": [-101.83, 34.54]},
            "properties": {
                "timestamp": (start + timedelta(hours=one)).isoformat(),
                "temperature": {"value": temp_c, "unitCode": "wmoUnit:degC"},
                "windSpeed": {"value": 16.09344, "unitCode": "wmoUnit:km_h-1"},
                "precipitationLastHour": {"value": None, "unitCode": "wmoUnit:mm"},
            },
        }
        for one in range(reports)
    ]
    file = station_farm.parent / "recorded" / "stations_KQQX_observations.json"
    file.write_text(json.dumps({"type": "FeatureCollection", "features": features}), "utf-8")


def test_a_station_is_held_against_the_cell_of_the_nearest_field(station_farm, capsys):
    """Two weeks of 5 C = 41 F at every hour, lows told as 38 F: bias -3."""
    with open_farm(station_farm) as opened:
        archive.keep_archive(opened, 12, lambda on, lead: 38.0)
    hourly(station_farm, 15 * 24, 5.0)
    assert verify(station_farm, None, "kqqx", True, None) == 0
    told = json.loads(capsys.readouterr().out)

    assert told["observed"][0]["words"].startswith("station KQQX, 1 mi from North Table, 360 ")
    source = told["sources"][0]
    assert {round(one["bias_f"], 6) for one in source["lows"]} == {-3.0}
    assert source["lows"][0]["n"] == 12
    assert source["rain_odds"]["days"][-1]["n"] == 0


def test_wind_is_compared_by_the_hour(station_farm, capsys):
    def windy(on):
        issue = archive.an_issue(on, lambda day, lead: 38.0)
        issue.hourly["wind_mph"][:] = 12.0
        return issue

    with open_farm(station_farm) as opened:
        archive.keep_archive(opened, 0, lambda on, lead: 38.0)
        days = [archive.FIRST + timedelta(days=one) for one in range(12)]
        opened.stores.forecasts.keep_many(map(windy, days))
    hourly(station_farm, 15 * 24, 5.0)
    verify(station_farm, None, "KQQX", True, None)
    wind = json.loads(capsys.readouterr().out)["sources"][0]["wind"]

    # Twelve mornings of ten hours, told 12 mph beside 10 (16.09344 km/h); definition of the mile.
    assert (wind[0]["lead_days"], wind[0]["n"], wind[0]["nights"]) == (0, 120, 12)
    assert wind[0]["bias_mph"] == pytest.approx(2.0, abs=1e-5)


def test_a_station_without_reports_is_one_line(station_farm):
    hourly(station_farm, 0)
    with pytest.raises(DataError, match="station KQQX: got no reports, wanted some"):
        verify(station_farm, None, "KQQX", False, None)


def test_few_nights_of_a_station_say_so(station_farm, capsys):
    with open_farm(station_farm) as opened:
        archive.keep_archive(opened, 3, lambda on, lead: 38.0)
    hourly(station_farm, 24 * 9, 5.0)
    verify(station_farm, None, "KQQX", False, None)
    out = capsys.readouterr().out
    assert "n = 3 nights, too few to judge" in out
    assert "-3.0" not in out


@pytest.fixture
def asked_at(monkeypatch):
    """The addresses that would be asked."""
    asked = []

    def get(self, path, if_modified_since=None):
        asked.append(self._address)
        raise ForecastError("nobody is asked here", False)

    monkeypatch.setattr("forecasts.client.WeatherClient.get", get)
    return asked


def led_by(farm, text: str) -> None:
    """Put other lines in place of the starter's source and contact."""
    lines = farm.read_text("utf-8").splitlines()
    kept = [one for one in lines if not one.startswith(("source =", "contact ="))]
    at = kept.index("[forecast]") + 1
    farm.write_text("\n".join([*kept[:at], text, *kept[at:]]), "utf-8")


def test_a_station_is_asked_of_the_us_service_whoever_leads(farm, asked_at):
    led_by(
        farm,
        'source = "met_norway"\ncontact = "sky@gin.test"\naddress = "http://us.test"\n'
        'met_norway_address = "http://norway.test"',
    )
    with pytest.raises(ForecastError, match="nobody is asked here"):
        verify(farm, None, "KQQX", False, None)
    assert asked_at == ["http://us.test"]


@pytest.mark.parametrize(
    ("told", "missing"),
    [
        ("", "contact is missing, wanted a mail address it can write to"),
        (
            'contact = "sky@gin.test"\naddress = ""',
            "address is missing, wanted where the US National Weather Service answers",
        ),
    ],
)
def test_a_station_nobody_can_be_asked_for_is_one_plain_line(farm, asked_at, told, missing):
    led_by(farm, f'source = "open_meteo"\nnon_commercial = true\n{told}')
    with pytest.raises(DataError) as refused:
        verify(farm, None, "KQQX", False, None)
    assert list(refused.value.lines) == [
        "station KQQX: stations are asked of the US National Weather Service, and [forecast] "
        f"{missing}; enter it, or use --observed FILE"
    ]
    assert asked_at == []
