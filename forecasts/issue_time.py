"""When a forecast was issued, as far as that can be believed."""

from datetime import UTC, datetime, timedelta

from forecasts.nws_forecast import AHEAD_MIN

NOT_TOLD = "issue time: missing from the answer, so its age is not known"
AHEAD = "issue time: ahead of the clock, so its age is not known"


def believed_issue(
    told: object, now: datetime, not_told: str = NOT_TOLD
) -> tuple[datetime | None, tuple[str, ...]]:
    """The issue time [UTC] and no doubt, or None and why.

    Parameters
    ----------
    told
        Text with its offset from UTC, or a moment, or None.
    now
        The moment of the morning, aware.
    not_told
        What to say where ``told`` is no moment.
    """
    moment = told
    if isinstance(told, str) and "T" in told:
        try:
            moment = datetime.fromisoformat(told)
        except ValueError:
            moment = None
    try:
        if not isinstance(moment, datetime) or moment.tzinfo is None:
            return None, (not_told,)
        issued_utc = moment.astimezone(UTC)
    except OverflowError:
        return None, (not_told,)
    if issued_utc > now + timedelta(minutes=AHEAD_MIN):
        return None, (AHEAD,)
    return issued_utc, ()
