"""An HTTP answer judged: a forecast to read, or a failure in plain words."""

import logging
from collections.abc import Mapping
from email.utils import parsedate_to_datetime

import msgspec

from forecasts.errors import ForecastError
from forecasts.transport import Answer

#: What a forecast may be sent as.
JSON_KINDS = {"application/geo+json", "application/json", "application/ld+json"}

#: A good answer of a product that ends soon, as MET Norway marks it.
DEPRECATED = 203

#: Statuses worth another try.
RETRIED = {429, 500, 502, 503, 504}

logger = logging.getLogger(__name__)

NO_ANSWER = "no answer from the weather service"

#: How the US service calls a forecast its office has not renewed for about a day, without blanks:
#: title or last word of the type (weather-gov/api issues 29 and 30).
GRID_EXPIRED = "forecastgridexpired"

#: When such a forecast is worth asking for again [s]; judgement.
GRID_EXPIRED_RETRY_S = 900.0


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
    if status in (200, DEPRECATED):
        if status == DEPRECATED:
            logger.warning("the weather service will soon stop answering in this form (203)")
        return _checked(kind, headers, body)
    if status == 403:
        raise ForecastError(
            "the weather service refuses this caller (403 Forbidden); set [forecast] contact to a "
            "mail address or web page it can write to",
            recoverable=False,
            setting="contact",
        )
    if _grid_expired(body):
        raise ForecastError(
            f"the weather office has not renewed its forecast ({status}{_told(body)})",
            recoverable=True,
            retry_after_s=GRID_EXPIRED_RETRY_S,
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
    changed = headers.get("Last-Modified") or headers.get("ETag")
    return Answer(body, changed, headers.get("Expires"))


def _grid_expired(body: bytes) -> bool:
    names = (_problem(body).get("title"), _problem(body).get("type"))
    words = ["".join(name.split()).lower() for name in names if isinstance(name, str)]
    return any(word.endswith(GRID_EXPIRED) for word in words)


def _told(body: bytes) -> str:
    """Title and detail of a problem, led by a blank, or nothing where it tells none."""
    problem = _problem(body)
    parts = [
        " ".join(text.split())[:120].rstrip(".")
        for text in (problem.get("title"), problem.get("detail"), problem.get("reason"))
        if isinstance(text, str) and text.strip()
    ]
    return f" {': '.join(parts)}" if parts else ""


def _problem(body: bytes) -> dict[str, object]:
    """What a problem tells by name, empty where the body is none."""
    try:
        return msgspec.json.decode(body, type=dict[str, object])
    except (msgspec.MsgspecError, RecursionError, UnicodeDecodeError):
        return {}
