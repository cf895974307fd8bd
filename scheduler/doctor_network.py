"""What a doctor asks of others: mail server, text gateway and weather service. Nothing is sent."""

import socket
import ssl
from datetime import UTC, datetime, timedelta
from email.utils import parsedate_to_datetime
from functools import partial
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from scheduler import exit_codes
from scheduler.clock import now_utc
from scheduler.doctor import Check, Finding, fault, look, ok

if TYPE_CHECKING:
    from config.farm_config import FarmConfig

#: Longest wait for one answer [s]; below the longest a look may take.
ANSWER_S = 10.0
#: How far the clock may be from the weather service's; judgement.
CLOCK_LOOK, CLOCK_FAULT = timedelta(minutes=1), timedelta(minutes=10)


def network_checks(config: "FarmConfig") -> list[Check]:
    """The checks of whatever the config names."""
    settings = config.settings
    checks = []
    if settings.mail is not None:
        checks.append(Check("mail", partial(mail_found, config), exit_codes.SOME_UNDELIVERED))
    if settings.sms is not None:
        checks.append(Check("texts", partial(texts_found, config), exit_codes.SOME_UNDELIVERED))
    for name, address in service_addresses(config).items():
        looked = partial(service_found, address, settings.forecast.contact or "")
        checks.append(Check(f"forecast {name}", looked, exit_codes.NO_FORECAST))
    return checks


def service_addresses(config: "FarmConfig") -> dict[str, str]:
    """Where each weather service that is asked answers, by its name."""
    from forecasts import open_meteo

    told = config.settings.forecast
    with_key = config.secrets.forecast_key is not None
    addresses = {
        "nws": told.address,
        "met_norway": told.met_norway_address,
        "open_meteo": told.open_meteo_address
        or (open_meteo.KEY_ADDRESS if with_key else open_meteo.FREE_ADDRESS),
    }
    return {name: addresses[name] for name in config.services}


def mail_found(config: "FarmConfig") -> Finding:
    """Connect, encrypt and log in as a morning does; no mail is sent."""
    from notify.channel import DeliveryError
    from notify.smtp import SmtpChannel

    told = config.settings.mail
    assert told is not None
    quick = told.model_copy(update={"timeout_s": min(told.timeout_s, ANSWER_S)})
    try:
        with SmtpChannel(quick, config.secrets.mail_password) as channel:
            channel.log_in()
    except DeliveryError as error:
        return fault(str(error), exit_codes.SOME_UNDELIVERED)
    as_whom = "logged in" if told.user else "connected, no login set"
    return ok(f"{told.host}:{told.port}: {as_whom}, nothing sent")


def texts_found(config: "FarmConfig") -> Finding:
    """Whether the gateway can be reached; any request to it could be taken for a message."""
    told = config.settings.sms
    assert told is not None
    if told.kind == "service":
        if config.secrets.sms_service is None:
            code = exit_codes.SOME_UNDELIVERED
            return fault("the address of the service is not set where this runs", code)
        return ok("a service by its address; not tried, since trying it would send")
    parts = urlsplit(told.url or "")
    host, tls = parts.hostname or "", parts.scheme == "https"
    port = parts.port or (443 if tls else 80)
    try:
        with socket.create_connection((host, port), timeout=ANSWER_S) as connection:
            if tls:
                context = ssl.create_default_context()
                context.wrap_socket(connection, server_hostname=host).close()
    except OSError as error:
        what = f"{host}:{port}: no connection ({type(error).__name__})"
        return fault(f"{what}; check [sms] url", exit_codes.SOME_UNDELIVERED)
    return ok(f"{host}:{port}: reached, nothing sent")


def service_found(address: str, contact: str) -> Finding:
    """Whether a weather service answers, and whether its clock agrees with ours."""
    import requests

    host = urlsplit(address).hostname
    try:
        answer = requests.get(
            address,
            headers={"User-Agent": f"warmspell ({contact})".encode()},
            timeout=ANSWER_S,
            allow_redirects=False,
            stream=True,
        )
    except requests.RequestException as error:
        told = f"{host}: no answer ({type(error).__name__})"
        return fault(f"{told}; calls stand on the last good answer", exit_codes.NO_FORECAST)
    with answer:
        if answer.status_code >= 500 or answer.status_code == 403:
            told = f"{host}: answers {answer.status_code}"
            return fault(f"{told}; calls stand on the last good answer", exit_codes.NO_FORECAST)
        return _clock_beside(f"{host}: answers", answer.headers.get("Date", ""))


def _clock_beside(told: str, date_header: str) -> Finding:
    try:
        theirs = parsedate_to_datetime(date_header).astimezone(UTC)
    except (ValueError, TypeError):
        return ok(told)
    off = real_now() - theirs
    if abs(off) <= CLOCK_LOOK:
        return ok(f"{told}, and its clock agrees with this one")
    which = "ahead of" if off > timedelta() else "behind"
    words = f"{told}, but this clock is {abs(off) / timedelta(minutes=1):.0f} min {which} its own"
    if abs(off) <= CLOCK_FAULT:
        return look(f"{words}; set it")
    return fault(f"{words}; set it, ages are wrong until then", exit_codes.CONFIG)


def real_now() -> datetime:
    """The clock of this machine, also where a farm replays another time."""
    from zoneinfo import ZoneInfo

    return now_utc(None, None, ZoneInfo("UTC"))
