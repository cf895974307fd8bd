import json
import re
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from forecasts.alerts import fetch_alerts, read_alerts
from forecasts.errors import ForecastError
from forecasts.folder import FolderTransport
from tests.forecasts.answers import as_bytes
from tests.forecasts.scripted import FAR, HOME, NEXT_DOOR, Script, down

NOW = datetime(2026, 10, 6, 11, tzinfo=UTC)


def alert(event: str = "Freeze Warning", **changes: Any) -> dict[str, Any]:
    properties = {
        "id": f"urn:oid:2.49.0.1.840.0.{event}",
        "event": event,
        "status": "Actual",
        "messageType": "Alert",
        "onset": "2026-10-07T02:00:00-05:00",
        "ends": "2026-10-07T09:00:00-05:00",
        "expires": "2026-10-07T09:00:00-05:00",
        "headline": f"{event} issued October 6 at 3:12AM CDT by NWS Sandhill",
        "senderName": "NWS Sandhill",
        "areaDesc": "Bailey; Lamb",
        "references": [],
        "description": None,
        "response": None,
    }
    return {"type": "Feature", "geometry": None, "properties": properties | changes}


def answer(*alerts: Any) -> bytes:
    return as_bytes({"type": "FeatureCollection", "features": list(alerts)})


def read(*alerts: Any):
    return read_alerts(answer(*alerts), NOW)


def test_an_alert_is_told_as_it_stands():
    (told,) = read(alert()).alerts

    assert told.event == told.told == "Freeze Warning"
    assert told.onset_utc == datetime(2026, 10, 7, 7, tzinfo=UTC)
    assert told.ends_utc == told.expires_utc == datetime(2026, 10, 7, 14, tzinfo=UTC)
    assert told.headline == "Freeze Warning issued October 6 at 3:12AM CDT by NWS Sandhill"
    assert told.sender == "NWS Sandhill"
    assert told.area == "Bailey; Lamb"


@pytest.mark.parametrize(
    ("told", "today"),
    [
        ("Freeze Watch", "Freeze Watch"),
        ("Frost Advisory", "Frost Advisory"),
        # Merged into "Freeze" on 2024-10-01: Service Change Notice 23-44.
        ("Hard Freeze Watch", "Freeze Watch"),
        ("Hard Freeze Warning", "Freeze Warning"),
        ("freeze  warning", "Freeze Warning"),
        ("Extreme Cold Warning", "Extreme Cold Warning"),
        ("Cold Weather Advisory", "Cold Weather Advisory"),
    ],
)
def test_events_of_cold_are_taken_under_their_old_names_too(told, today):
    (one,) = read(alert(told)).alerts
    assert one.event == today


@pytest.mark.parametrize("event", ["High Wind Watch", "Freezing Fog Advisory", "Freeze", ""])
def test_other_events_are_not_taken(event):
    assert read(alert(event)).alerts == ()


@pytest.mark.parametrize(
    "change",
    [{"status": "Test"}, {"status": "Exercise"}, {"status": None}, {"messageType": "Cancel"}],
)
def test_what_is_not_meant_is_left_out(change):
    assert read(alert(**change)).alerts == ()


def test_what_has_ended_is_left_out_and_what_ends_later_stays():
    over = "2026-10-06T11:00:00+00:00"
    later = "2026-10-06T11:01:00+00:00"

    assert read(alert(ends=over)).alerts == ()
    assert len(read(alert(ends=later)).alerts) == 1
    # The message runs out before the cold does: a new one is due, the cold is still to come.
    assert len(read(alert(expires=over)).alerts) == 1
    assert read(alert(ends=None, expires=over)).alerts == ()


@pytest.mark.parametrize("time", [None, "soon", 5, "2026-10-06T02:00:00"])
def test_an_alert_whose_times_cannot_be_read_stays(time):
    (told,) = read(alert(onset=time, ends=time, expires=time)).alerts
    assert (told.onset_utc, told.ends_utc, told.expires_utc) == (None, None, None)


def test_a_message_that_a_later_one_replaces_is_left_out():
    old = alert("Freeze Watch")
    new = alert(
        "Freeze Warning",
        messageType="Update",
        references=[{"identifier": old["properties"]["id"], "sender": "x"}],
    )
    assert [one.event for one in read(old, new).alerts] == ["Freeze Warning"]


def test_a_test_message_replaces_nothing():
    real = alert("Freeze Watch")
    drill = alert(status="Test", references=[{"identifier": real["properties"]["id"]}])
    assert [one.event for one in read(real, drill).alerts] == ["Freeze Watch"]


def test_a_message_that_names_itself_stays():
    one = alert()
    one["properties"]["references"] = [{"identifier": one["properties"]["id"]}]
    assert len(read(one).alerts) == 1


@pytest.mark.parametrize("name", [None, 5, ["x"], {"x": 1}])
def test_an_alert_without_a_name_that_can_be_read_stays(name):
    assert [one.event for one in read(alert(id=name)).alerts] == ["Freeze Warning"]


def test_the_soonest_comes_first():
    late = alert("Freeze Watch", onset="2026-10-08T02:00:00-05:00", ends=None, expires=None)
    assert [one.event for one in read(late, alert()).alerts] == ["Freeze Warning", "Freeze Watch"]


@pytest.mark.parametrize("broken", [1, None, {}, {"properties": None}, {"properties": {}}])
def test_an_alert_that_cannot_be_read_is_told_and_leaves_the_others(broken):
    told = read(broken, alert())

    assert len(told.alerts) == 1
    assert told.problem == "1 alert could not be read"


@pytest.mark.parametrize("body", [b"", b"{}", b"[]", b"<html>", b'{"features": null}'])
def test_what_is_no_answer_is_refused_and_never_read_as_no_alert(body):
    with pytest.raises(ForecastError, match="alerts could not be read"):
        read_alerts(body, NOW)


def test_places_that_lie_together_share_a_question():
    asked = Script({"/alerts/active?point=34.75,-101.75": json.loads(answer(alert()))})
    found = fetch_alerts(asked, [HOME, NEXT_DOOR], NOW)

    assert asked.paths == ["/alerts/active?point=34.75,-101.75"]
    assert len(found["home"].alerts) == len(found["next-door"].alerts) == 1
    assert found["home"].problem == ""


def test_a_question_that_fails_is_told_for_its_places_alone():
    asked = Script(
        {
            "/alerts/active?point=34.75,-101.75": down(),
            "/alerts/active?point=34.75,-100.75": json.loads(answer(alert())),
        }
    )
    found = fetch_alerts(asked, [HOME, FAR], NOW)

    assert "503" in found["home"].problem
    assert found["home"].alerts == ()
    assert len(found["far"].alerts) == 1


def test_recorded_alerts_are_replayed_from_a_folder(tmp_path):
    (tmp_path / "alerts_34.75,-101.75.json").write_bytes(answer(alert()))
    found = fetch_alerts(FolderTransport(tmp_path), [HOME, FAR], NOW)

    assert len(found["home"].alerts) == 1
    assert found["far"].problem == (
        "the folder of recorded answers has no alerts_34.75,-100.75.json"
    )


def recorded(recorded_answers) -> str:
    name = "alerts_active_freeze_subset.json"
    return (recorded_answers / "payloads" / "nws_other" / name).read_text("utf-8")


def test_the_freeze_warning_among_recorded_alerts_is_found(recorded_answers):
    saved = datetime(2025, 12, 15, 21, 55, tzinfo=UTC)

    def dated(match: re.Match[str]) -> str:
        return (saved + timedelta(minutes=int(match[1]))).isoformat()

    text = re.sub(r"date:now ([+-]\d+) minutes", dated, recorded(recorded_answers))
    told = read_alerts(text.encode(), saved)

    # Twelve features: eleven High Wind Watches, and as the second the warning of NWS Jacksonville
    # FL, with onset "date:now +125 minutes", ends and expires "date:now +965 minutes".
    assert told.problem == ""
    (one,) = told.alerts
    assert one.event == "Freeze Warning"
    assert one.sender == "NWS Jacksonville FL"
    assert one.headline == (
        "Freeze Warning issued December 15 at 4:43PM EST until December 16 at 9:00AM EST by NWS "
        "Jacksonville FL"
    )
    assert one.onset_utc == datetime(2025, 12, 16, 0, 0, tzinfo=UTC)
    assert one.ends_utc == one.expires_utc == datetime(2025, 12, 16, 14, 0, tzinfo=UTC)
    assert one.area.startswith("Suwannee; Baker; ")


def test_as_recorded_its_times_cannot_be_read_and_it_stays(recorded_answers):
    (one,) = read_alerts(recorded(recorded_answers).encode(), NOW).alerts
    assert one.onset_utc is None
