"""The channels a farm's config asks for, by the name the outbox uses for them."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from config.farm_config import FarmConfig
    from notify.channel import Channel


def channels_of(config: "FarmConfig") -> "dict[str, Channel]":
    """A mail channel where ``[mail]`` is set, a text message channel where ``[sms]`` is."""
    channels: dict[str, Channel] = {}
    settings, secrets = config.settings, config.secrets
    if settings.mail is not None:
        from notify.mail import SmtpChannel

        channels["mail"] = SmtpChannel(settings.mail, secrets.mail_password)
    if settings.sms is not None:
        from notify.http_sms import HttpSmsChannel

        channels["sms"] = HttpSmsChannel(settings.sms, secrets.sms_secret)
    return channels
