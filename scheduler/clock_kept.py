"""What a morning heard of this machine's clock, kept in the run log for the doctor."""

from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from scheduler import exit_codes
from scheduler.clock_arbiter import ClockJudged

if TYPE_CHECKING:
    from storage.stores import Stores

#: The kind of these rows in the run log.
KIND = "clock"


def keep_judged(judged: ClockJudged, stores: "Stores", local_date: date, now: datetime) -> None:
    """Keep what was heard, where anything was."""
    if judged.verdict == "not heard":
        return
    wrong = judged.verdict != "agrees"
    minutes = round(judged.off / timedelta(minutes=1))
    # The column holds 16 letters: days would do for a clock that is years off.
    outcome = f"{judged.verdict[:5]} {minutes:+d}" if wrong else judged.verdict
    code = exit_codes.CONFIG if judged.verdict == "wrong" else exit_codes.OK
    stores.runs.keep(KIND, local_date, code, outcome, now)
