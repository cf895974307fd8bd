"""Reports of gateways, read from what they post."""

from datetime import UTC, datetime

import pytest
from pydantic import SecretStr

from farm.delivery_report import DeliveryReport
from notify.delivery_report import read_report, take_report
from notify.settings import SmsSettings

NOW = datetime(2026, 10, 6, 12, tzinfo=UTC)
SECRET = SecretStr("gate-word-9")
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
    assert read_report({"id": "m-7", "status": word}, PLAIN, NOW).state == state


def test_a_report_is_found_where_the_settings_say() -> None:
    told = {"results": [{"message": {"uid": 55}, "state": {"name": "REJECTED"}}]}
    report = read_report(
        told, settings(report_id="results.0.message.uid", report_state="results.0.state.name"), NOW
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
        read_report(told, PLAIN, NOW)  # type: ignore[arg-type]


def test_signs_in_a_state_cannot_start_a_line_of_their_own() -> None:
    assert read_report({"id": "m", "status": "x\n2026 ERROR\x1b[31m"}, PLAIN, NOW).words == (
        "x 2026 ERROR [31m"
    )


class Reports:
    """Reports, each state of a message once."""

    def __init__(self) -> None:
        self.kept: list[DeliveryReport] = []

    def add(self, report: DeliveryReport) -> bool:
        known = (report.provider_id, report.state) in {
            (one.provider_id, one.state) for one in self.kept
        }
        self.kept += [] if known else [report]
        return not known


@pytest.mark.fault("T04", "T06")
def test_a_report_is_kept_once_and_one_of_a_loss_is_told_once() -> None:
    reports, told = Reports(), {"id": "m-7", "status": "undelivered"}
    first, again = (take_report(told, "gate-word-9", SECRET, PLAIN, reports, NOW) for _ in range(2))

    assert (first.status, first.alarm) == (200, True)
    assert first.note == "text m-7 did not arrive: the gateway says undelivered"
    assert (again.status, again.alarm, again.note) == (200, False, "")
    assert reports.kept == [DeliveryReport("sms", "m-7", "undelivered", "undelivered", NOW)]


def test_good_news_is_kept_without_a_word() -> None:
    reports = Reports()
    told = take_report(
        {"id": "m-7", "status": "delivered"}, "gate-word-9", SECRET, PLAIN, reports, NOW
    )

    assert (told.status, told.note, len(reports.kept)) == (200, "", 1)


@pytest.mark.fault("T06")
@pytest.mark.parametrize("given", [None, "", "other"])
def test_a_forged_report_is_refused(given: str | None) -> None:
    reports = Reports()
    told = {"id": "m-7", "status": "delivered"}

    assert take_report(told, given, SECRET, PLAIN, reports, NOW).status == 403
    assert take_report(told, given, None, PLAIN, reports, NOW).status == 403
    assert reports.kept == []


def test_a_report_that_cannot_be_read_is_answered_so() -> None:
    told = take_report({}, "gate-word-9", SECRET, PLAIN, Reports(), NOW)

    assert told.status == 400
    assert "set [sms] report_id" in told.note
