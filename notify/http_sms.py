"""The text message channel: any gateway that takes one HTTP request for each message."""

import re
from collections.abc import Mapping
from email.utils import parsedate_to_datetime
from urllib.parse import urlsplit

import requests
from pydantic import SecretStr
from urllib3.exceptions import MaxRetryError, NewConnectionError

from farm.masked_address import masked_address
from notify.at_path import at_path
from notify.channel import DeliveryError, OutgoingMessage, Receipt
from notify.settings import SmsSettings
from notify.user_text import plain_line

_TOKEN = re.compile(r"\{(to|text|sender|secret|reference)\}")
#: Answers that say something about us, not about one message: no money, no right, too fast.
_STOPS = (401, 402, 403, 429)


class HttpSmsChannel:
    """Hands text messages to a gateway. Accepted means 2xx *and* a message id in the answer."""

    def __init__(self, settings: SmsSettings, secret: SecretStr | None = None) -> None:
        if settings.url is None:
            raise ValueError("text message gateway: got no url, wanted one; set [sms] url")
        self._settings, self._url = settings, settings.url
        self._secret = secret.get_secret_value() if secret else ""
        self._session: requests.Session | None = None

    def send(self, message: OutgoingMessage) -> Receipt:
        """Hand one text message over; the receipt holds the gateway's id."""
        filled = {
            "to": message.address,
            "text": message.body.decode("utf-8"),
            "sender": self._settings.sender,
            "secret": self._secret,
            "reference": message.message_id,
        }
        return self._receipt(self._answer(filled), message.address)

    def close(self) -> None:
        """Let go of the connection."""
        session, self._session = self._session, None
        if session is not None:
            session.close()

    @property
    def _where(self) -> str:
        return f"text message gateway {urlsplit(self._url).hostname}"

    def _answer(self, filled: Mapping[str, str]) -> requests.Response:
        told = self._settings
        self._session = self._session or requests.Session()
        body = {key: _fill(value, filled) for key, value in told.body.items()}
        headers = {key: plain_line(_fill(value, filled)) for key, value in told.headers.items()}
        try:
            return self._session.request(
                told.method,
                self._url,
                headers={key: value.encode("utf-8") for key, value in headers.items()},
                json=body if told.body_format == "json" else None,
                data=body if told.body_format == "form" else None,
                timeout=told.timeout_s,
                allow_redirects=False,
            )
        except requests.RequestException as error:
            raise self._no_answer(error) from None

    def _no_answer(self, error: requests.RequestException) -> DeliveryError:
        """What went wrong, without the request in it: that would hold number and secret."""
        name = type(error).__name__
        if _never_connected(error):
            return DeliveryError(f"{self._where}: no connection ({name})", stops_channel=True)
        return DeliveryError(
            f"{self._where}: no answer ({name}); the message may have been sent", in_doubt=True
        )

    def _receipt(self, answer: requests.Response, address: str) -> Receipt:
        code, whom = answer.status_code, masked_address(address)
        if not 200 <= code < 300:
            raise DeliveryError(
                f"{self._where}: answered {code} for {whom}{self._words(answer)}",
                permanent=code != 429 and code < 500,
                stops_channel=code in _STOPS,
                retry_after_s=_asked_wait_s(answer.headers),
            )
        found = _id_in(answer, self._settings.id_path)
        if not found:
            # Sent again it could arrive twice, or a dozen times where the path is wrong.
            raise DeliveryError(
                f"{self._where}: answered {code} for {whom} without an id at "
                f"{self._settings.id_path!r}{self._words(answer)}; it may have been sent; "
                "check id_path",
                permanent=True,
                in_doubt=True,
            )
        return Receipt(found)

    def _words(self, answer: requests.Response) -> str:
        said = plain_line(answer.text[:500])
        if self._secret:
            said = said.replace(self._secret, "***")
        said = re.sub(r"[\d\s().-]{5,}", " *** ", said)[:120]
        return f": {said}" if said.strip() else ""


def _fill(template: str, filled: Mapping[str, str]) -> str:
    """The template with its tokens replaced, once: braces in a text are only text."""
    return _TOKEN.sub(lambda found: filled[found.group(1)], template)


def _never_connected(error: requests.RequestException) -> bool:
    if isinstance(error, requests.ConnectTimeout | requests.exceptions.SSLError):
        return True
    cause = error.args[0] if error.args else None
    return isinstance(cause, MaxRetryError) and isinstance(cause.reason, NewConnectionError)


def _asked_wait_s(headers: Mapping[str, str]) -> float | None:
    """How long the gateway asks to be left alone [s]; None where it does not say.

    A moment counts from the gateway's own clock, as ours may differ from it. RFC 9110, 10.2.3.
    """
    told = headers.get("Retry-After", "").strip()
    if told.isascii() and told.isdigit():
        return float(told[:9])
    try:
        until, now = parsedate_to_datetime(told), parsedate_to_datetime(headers.get("Date", ""))
        return max(0.0, (until - now).total_seconds())
    except (TypeError, ValueError):
        return None


def _id_in(answer: requests.Response, path: str) -> str:
    """The id at a path of an answer; "" where there is none."""
    try:
        found = at_path(answer.json(), path)
    except ValueError:
        return ""
    return "" if found is None else str(found)
