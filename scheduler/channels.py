"""The channels a farm's config asks for, by the name the outbox uses for them."""

from collections.abc import Callable
from datetime import datetime
from typing import TYPE_CHECKING

from scheduler.contact_rules import contact_rules

if TYPE_CHECKING:
    from config.farm_config import FarmConfig
    from notify.channel import Channel
    from scheduler.opening import OpenFarm


def channels_of(
    farm: "OpenFarm", clock: Callable[[], datetime] | None = None
) -> "dict[str, Channel]":
    """A mail channel where ``[mail]`` is set, a text message channel where ``[sms]`` is.

    Each asks once more before every message whether its reader may be written to, at the time
    that ``clock`` tells, the farm's own moment where none is given.
    """
    from notify.may_send import GuardedChannel

    rules = contact_rules(farm.config, farm.stores.consents)
    told = clock or (lambda: farm.now)
    return {
        name: GuardedChannel(name, channel, rules, told)
        for name, channel in _bare(farm.config).items()
    }


def _bare(config: "FarmConfig") -> "dict[str, Channel]":
    channels: dict[str, Channel] = {}
    settings, secrets = config.settings, config.secrets
    if settings.mail is not None:
        from notify.mail import SmtpChannel

        channels["mail"] = SmtpChannel(settings.mail, secrets.mail_password)
    if settings.sms is not None and settings.sms.kind == "gateway":
        from notify.http_sms import HttpSmsChannel

        channels["sms"] = HttpSmsChannel(settings.sms, secrets.sms_secret)
    elif settings.sms is not None:
        from notify.sms_service import ServiceSmsChannel

        channels["sms"] = ServiceSmsChannel(settings.sms, secrets.sms_service)
    return channels
