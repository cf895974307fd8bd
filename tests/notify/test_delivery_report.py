"""Reports of gateways, read from what they post."""

import pytest

from notify.delivery_report import read_report
from notify.settings import SmsSettings

PLAIN = SmsSettings(url="https://texts.example.com/")


def settings(**paths: str) -> SmsSettings:
    return SmsSettings(url="https://texts.example.com/", **paths)


@pytest.mark.parametrize(
    ("word", "state"),
    [
        ("delivered", "delivered"),
        ("DELIVRD", "delivered"),
        ("Undelivered", "undelivered"),
        ("UNDELIV", "undelivered"),
        ("failed", "undelivered"),
        ("failed-permanently", "undelivered"),
        ("queued", "taken"),
        ("en_route", "taken"),
        ("moon", "unknown"),
        (17, "unknown"),
    ],
)
def test_words_of_gateways_become_four_states(word: object, state: str) -> None:
    """Common practice, no source: gateways name no common list."""
    assert read_report({"id": "m-7", "status": word}, PLAIN).state == state


def test_a_report_is_found_where_the_settings_say() -> None:
    told = {"results": [{"message": {"uid": 55}, "state": {"name": "REJECTED"}}]}
    report = read_report(
        told, settings(report_id="results.0.message.uid", report_state="results.0.state.name")
    )
    assert (report.provider_id, report.state, report.words) == ("55", "undelivered", "REJECTED")


@pytest.mark.parametrize(
    "told",
    [
        {},
        {"id": "", "status": "sent"},
        {"id": "m-7"},
        {"id": {"x": 1}, "status": "sent"},
        {"id": True, "status": "sent"},
        {"id": "m" * 201, "status": "sent"},
        {"id": "m-7", "status": None},
        [],
        "id",
    ],
)
def test_a_report_without_a_message_or_a_state_is_refused(told: object) -> None:
    with pytest.raises(ValueError, match=r"^delivery report: got no "):
        read_report(told, PLAIN)  # type: ignore[arg-type]


def test_signs_in_a_state_cannot_start_a_line_of_their_own() -> None:
    assert read_report({"id": "m", "status": "x\n2026 ERROR\x1b[31m"}, PLAIN).words == (
        "x 2026 ERROR [31m"
    )
