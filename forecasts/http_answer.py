"""An HTTP answer judged: a forecast to read, or a failure in plain words."""

from collections.abc import Mapping
from email.utils import parsedate_to_datetime

import msgspec

from forecasts.errors import ForecastError
from forecasts.transport import Answer

#: What a forecast may be sent as.
JSON_KINDS = {"application/geo+json", "application/json", "application/ld+json"}

#: Statuses worth another try.
RETRIED = {429, 500, 502, 503, 504}

NO_ANSWER = "no answer from the weather service"


def accept(
    status: int, headers: Mapping[str, str], body: bytes, retry_after_max_s: float
) -> Answer:
    """The answer, if it is one.

    Raises
    ------
    ForecastError
        The status, the content type or the text says it is no forecast. ``recoverable`` where
        another try may help; ``gone`` for 404; ``retry_after_s`` as the service asks, at most
        ``retry_after_max_s`` [s].
    """
    kind = headers.get("Content-Type", "").split(";")[0].strip().lower()
    if status == 200:
        return _checked(kind, headers, body)
    if status == 403:
        raise ForecastError(
            "the weather service refuses this caller (403 Forbidden); set [forecast] contact to a "
            "mail address or web page it can write to",
            recoverable=False,
        )
    raise ForecastError(
        f"{NO_ANSWER} ({status}{_told(body)})",
        status in RETRIED,
        gone=status == 404,
        retry_after_s=retry_after_s(headers, retry_after_max_s) if status in RETRIED else None,
    )


def retry_after_s(headers: Mapping[str, str], most_s: float) -> float | None:
    """The wait a service asks for [s], at most ``most_s``, or None where it asks for none.

    A date is measured against the answer's own Date, so our clock does not matter. What cannot
    be read, or lies in the past, is no request.
    """
    asked = headers.get("Retry-After", "").strip()
    if asked.isascii() and asked.isdigit():
        return min(float(asked[:12]), most_s)
    try:
        until = parsedate_to_datetime(asked)
        wait_s = (until - parsedate_to_datetime(headers.get("Date", ""))).total_seconds()
    except (ValueError, TypeError, OverflowError):
        return None
    return min(wait_s, most_s) if wait_s > 0 else None


def _checked(kind: str, headers: Mapping[str, str], body: bytes) -> Answer:
    if kind == "application/problem+json":
        raise ForecastError(f"{NO_ANSWER} (a problem{_told(body)})", True)
    if kind not in JSON_KINDS:
        raise ForecastError(f"{NO_ANSWER} (a page of {kind[:40] or 'no kind'} instead)", True)
    try:
        msgspec.json.decode(body)
    except (msgspec.MsgspecError, RecursionError, UnicodeDecodeError) as error:
        raise ForecastError(f"{NO_ANSWER} (it is cut off or garbled)", True) from error
    return Answer(body, headers.get("Last-Modified"))


def _told(body: bytes) -> str:
    """Title and detail of a problem, led by a blank, or nothing where it tells none."""
    try:
        problem = msgspec.json.decode(body, type=dict[str, object])
    except (msgspec.MsgspecError, RecursionError, UnicodeDecodeError):
        return ""
    parts = [
        " ".join(text.split())[:120].rstrip(".")
        for text in (problem.get("title"), problem.get("detail"))
        if isinstance(text, str) and text.strip()
    ]
    return f" {': '.join(parts)}" if parts else ""
