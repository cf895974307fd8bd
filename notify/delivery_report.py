"""What a gateway tells later of a message it had taken, read from its request."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any, Protocol

from pydantic import SecretStr

from farm.delivery_report import DeliveryReport
from notify.at_path import at_path
from notify.may_send import SMS
from notify.settings import SmsSettings
from notify.text_answers import ID_LENGTH, Answered, trusted
from notify.user_text import plain_line

#: What gateways call each state; common practice, no source. Compared without case and signs.
_STATES = {
    "delivered": "delivered delivrd read seen displayed success successful arrived",
    "undelivered": "undelivered undeliv undeliverable failed failure failedpermanently rejected "
    "rejectd expired deleted blocked bounced unknownsubscriber absentsubscriber error",
    "taken": "sent sending accepted acceptd queued buffered enroute submitted scheduled pending "
    "dispatched created processing",
}
_BY_WORD = {word: state for state, words in _STATES.items() for word in words.split()}


class Reports(Protocol):
    """The reports kept."""

    def add(self, report: DeliveryReport) -> bool:
        """Keep a report; False where the same state of the same message is kept already."""
        ...


def take_report(
    told: Mapping[str, Any],
    given: str | None,
    wanted: SecretStr | None,
    settings: SmsSettings,
    reports: Reports,
    now: datetime,
) -> Answered:
    """Take one delivery report: believed only with the agreed secret, kept once.

    A message that did not arrive is told to the operator; it is not sent again.
    """
    if not trusted(given, wanted):
        return Answered(403, note="a delivery report without the agreed secret was refused")
    try:
        report = read_report(told, settings, now)
    except ValueError as fault:
        return Answered(400, note=str(fault))
    new = reports.add(report)
    lost = new and report.state == "undelivered"
    said = f"text {report.provider_id} did not arrive: the gateway says {report.words}"
    return Answered(200, note=said if lost else "", alarm=lost)


def read_report(told: Mapping[str, Any], settings: SmsSettings, now: datetime) -> DeliveryReport:
    """The report in a request's form or JSON.

    A state whose name is not known is "unknown": neither a success nor a failure is made of it.

    Raises
    ------
    ValueError
        It names no message or no state.
    """
    own, said = at_path(told, settings.report_id), at_path(told, settings.report_state)
    name, words = plain_line(str(own or "")), plain_line(str(said if said is not None else ""))
    if not name or len(name) > ID_LENGTH:
        raise ValueError(
            f"delivery report: got no message at {settings.report_id!r}, wanted its id; "
            "set [sms] report_id"
        )
    if not words:
        raise ValueError(
            f"delivery report: got no state at {settings.report_state!r}, wanted a word; "
            "set [sms] report_state"
        )
    plain = "".join(letter for letter in words.casefold() if letter.isalpha())
    return DeliveryReport(SMS, name, _BY_WORD.get(plain, "unknown"), words[:80], now)
