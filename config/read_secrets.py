"""Passwords and keys, from the environment or from files that only their owner can read."""

import os
import stat
from collections.abc import Mapping
from pathlib import Path

from pydantic import SecretStr

from config.inside_folder import inside_folder
from config.key_path import Path as KeyPath
from config.problem import ConfigError
from config.settings import Settings
from notify.settings import Secrets

#: Longest secret read from a file [bytes]; more is some other file.
SECRET_MAX_BYTES = 10_000

#: Table, key of the environment variable, key of the file, and name of the secret.
_PLACES = (
    ("farm", "database_password_env", "database_password_file", "database_password"),
    ("mail", "password_env", "password_file", "mail_password"),
    ("sms", "secret_env", "secret_file", "sms_secret"),
    ("sms", "service_env", "service_file", "sms_service"),
    ("sms", "answers_secret_env", "answers_secret_file", "answers_secret"),
    ("links", "key_env", "key_file", "link_key"),
    ("watch", "ping_url_env", "ping_url_file", "ping_url"),
    ("forecast", "api_key_env", "api_key_file", "forecast_key"),
)


def read_secrets(settings: Settings, folder: Path, environ: Mapping[str, str]) -> Secrets:
    """The secrets the settings point to.

    Parameters
    ----------
    settings
        Checked settings.
    folder
        Folder of the configuration, which relative names start from.
    environ
        The environment, such as ``os.environ``.

    Returns
    -------
    Secrets
        None for what the settings do not name.

    Raises
    ------
    ConfigError
        A variable that is not set, a file that cannot be read, is empty, or that everybody can
        read.
    """
    secrets, faults, unset = gather_secrets(settings, folder, environ)
    if faults or unset:
        raise ConfigError(
            [f"{'.'.join(map(str, path))}: {words}" for path, words in faults + unset]
        )
    return secrets


def gather_secrets(
    settings: Settings, folder: Path, environ: Mapping[str, str]
) -> tuple[Secrets, list[tuple[KeyPath, str]], list[tuple[KeyPath, str]]]:
    """The secrets, the faults, and the variables that are not set in ``environ``.

    A variable may be set only where the worker runs, so its absence is told apart.
    """
    found: dict[str, SecretStr] = {}
    faults: list[tuple[KeyPath, str]] = []
    unset: list[tuple[KeyPath, str]] = []
    for table, env_key, file_key, name in _PLACES:
        channel = getattr(settings, table)
        variable, file = getattr(channel, env_key, None), getattr(channel, file_key, None)
        if variable and file:
            words = f"got {env_key} and {file_key}, wanted one of them; delete one"
            faults.append(((table, file_key), words))
        elif file:
            try:
                found[name] = _from_file(inside_folder(folder, file, absolute_allowed=True))
            except ValueError as error:
                hidden = str(error).replace(f'"{file[:60]}"', "a name (not shown)")
                faults.append(((table, file_key), hidden))
        elif variable and environ.get(variable):
            found[name] = SecretStr(environ[variable])
        elif variable:
            words = (
                "got the name of a variable that is not set or empty here; set it where this runs"
            )
            unset.append(((table, env_key), words))
    if settings.mail and settings.mail.user and "mail_password" not in found | _named(settings):
        words = "got a user without a password; name it with password_env or password_file"
        faults.append((("mail", "user"), words))
    return Secrets(**found), faults, unset


def _named(settings: Settings) -> dict[str, object]:
    mail = settings.mail
    return {"mail_password": None} if mail and (mail.password_env or mail.password_file) else {}


def _from_file(path: Path) -> SecretStr:
    try:
        mode = path.stat().st_mode
        if os.name == "posix" and mode & stat.S_IROTH:
            raise ValueError(
                f"got {path}, which everybody on this machine can read; run: chmod 600 {path}"
            )
        raw = path.read_bytes()
    except OSError as error:
        reason = (error.strerror or "no reason given").lower()
        raise ValueError(f"got a file that cannot be read ({reason}); check its name") from error
    text = raw.decode("utf-8", "replace").strip() if len(raw) <= SECRET_MAX_BYTES else ""
    if not text or len(text.splitlines()) > 1:
        raise ValueError(f"got {path}, wanted one line with the secret and nothing else; mend it")
    return SecretStr(text)
