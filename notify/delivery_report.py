"""What a gateway tells later of a message it had taken, read from its request."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from notify.settings import SmsSettings
from notify.text_answers import ID_LENGTH, at_path
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


@dataclass(frozen=True)
class ReadReport:
    """A state of a message by the provider's own name; ``words`` is what it called the state."""

    provider_id: str
    state: str
    words: str


def read_report(told: Mapping[str, Any], settings: SmsSettings) -> ReadReport:
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
    return ReadReport(name, _BY_WORD.get(plain, "unknown"), words[:80])
