"""The demo's farm with a key for links, a gateway, and the word agreed on with it."""

from dataclasses import replace
from datetime import timedelta

from pydantic import SecretStr

from notify.links import Link, LinkKeys, Purpose
from notify.settings import LinkSettings, SmsSettings
from scheduler.opening import OpenFarm

KEY = "links-of-the-tests-" * 3
WORD = "the word agreed on"


def linked(farm: OpenFarm) -> OpenFarm:
    """The farm with links and a gateway set up."""
    told = {
        "links": LinkSettings(base_url="https://board.example.org"),
        "sms": SmsSettings(url="https://texts.example.com/"),
    }
    settings = farm.config.settings.model_copy(update=told)
    held = {"link_key": SecretStr(KEY), "answers_secret": SecretStr(WORD)}
    secrets = farm.config.secrets.model_copy(update=held)
    return replace(farm, config=replace(farm.config, settings=settings, secrets=secrets))


def token(purpose: Purpose, person_id: str, field_id: str, farm: OpenFarm, **more: object) -> str:
    """A link's token, signed with the farm's key, for a week."""
    until = farm.now + timedelta(days=7)
    link = Link(purpose, person_id, field_id, farm.today.isoformat(), expires_utc=until)
    return LinkKeys.from_text(KEY).sign(replace(link, **more))  # type: ignore[arg-type]
