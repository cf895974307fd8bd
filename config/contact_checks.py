"""Doubts about how people are reached and about who can touch the farm's files."""

import os
import stat
from collections.abc import Iterator
from pathlib import Path

from pydantic import SecretStr

from config.key_path import Path as KeyPath
from config.settings import Settings
from notify.links import LinkKeys
from notify.settings import Secrets


def contact_warnings(settings: Settings, secrets: Secrets) -> Iterator[tuple[KeyPath, str]]:
    """Links that will not be made, and answers to texts that nobody can be believed to send."""
    if settings.links is not None and secrets.link_key is not None:
        fault = _key_fault(secrets.link_key)
        if fault:
            yield ("links",), f"{fault}; until then mails have no links"
    if settings.links is not None and settings.mail is None:
        yield ("links",), "got links but no [mail] to put them into; add it or delete the table"
    sms = settings.sms
    named = sms is not None and (sms.answers_secret_env or sms.answers_secret_file)
    if sms is not None and settings.links is not None and not named:
        yield (
            ("sms", "answers_secret_env"),
            "got none, so a STOP answered to a text cannot be taken here; name the variable of a "
            "word agreed on with the gateway, or enter stops with warmspell people stop",
        )


def open_to_all(path: Path, settings: Settings) -> Iterator[tuple[KeyPath, str]]:
    """Files that anybody on this machine could change, so that nobody can vouch for a call."""
    if os.name != "posix":
        return
    named = {("farm", "fields"): settings.farm.fields, ("farm", "database"): settings.farm.database}
    files: dict[KeyPath, Path] = {("farm",): path}
    files |= {key: path.parent / name for key, name in named.items() if "://" not in name}
    for key, file in files.items():
        try:
            mode = file.stat().st_mode
        except OSError:
            continue
        if mode & stat.S_IWOTH:
            words = f"got {file.name}, which everybody on this machine can change"
            yield key, f"{words}; run: chmod o-w {file}"


def contact_lines(settings: Settings, secrets: Secrets) -> list[str]:
    """How texts go out and where links lead, in short lines; none where neither is set up."""
    lines = []
    if settings.sms is not None:
        sms = settings.sms
        asked = "only to who agreed" if sms.consent_needed else "consent is not asked for"
        quiet = f"none from {sms.quiet_from:%H:%M} until {sms.quiet_until:%H:%M}"
        if sms.quiet_from == sms.quiet_until:
            quiet = "at any hour"
        lines.append(f"Texts: by {sms.kind}, {asked}, {quiet} (reader's clock)")
    if settings.links is not None:
        works = secrets.link_key is not None and not _key_fault(secrets.link_key)
        where = f"to {settings.links.base_url}, for {settings.links.valid_days} days"
        lines.append(f"Links in mails: {where if works else 'none, for want of a key'}")
    return lines


def _key_fault(key: SecretStr) -> str:
    """Why a key of links is none, "" where it is one."""
    try:
        LinkKeys.from_text(key.get_secret_value())
    except ValueError as fault:
        return str(fault)
    return ""
