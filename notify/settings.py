"""Settings of the channels."""

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field, SecretStr


class MailSettings(BaseModel):
    """The mail server digests are handed to. Secrets come from the environment or a file."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    host: str = Field(min_length=1)
    port: int = Field(default=587, ge=1, le=65535)
    #: "starttls" and "tls" encrypt; "plain" must be asked for by name.
    security: Literal["starttls", "tls", "plain"] = "starttls"
    sender: str = Field(min_length=3)
    reply_to: str | None = None
    user: str | None = None
    #: Name of the environment variable, or file, that holds the password.
    password_env: str | None = None
    password_file: str | None = None
    timeout_s: float = Field(default=60.0, gt=0, le=600, allow_inf_nan=False)
    #: Address or words in the "stop these mails" line.
    stop_contact: str = Field(default="answer this mail with the word STOP", min_length=3)


class SmsSettings(BaseModel):
    """A generic HTTP gateway for text messages.

    ``body`` and header values may hold ``{to}``, ``{text}``, ``{sender}``, ``{secret}`` and
    ``{reference}``; they are filled in with JSON or form quoting, whichever ``body_format`` says.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    url: str = Field(min_length=8)
    method: Literal["POST", "PUT"] = "POST"
    headers: dict[str, str] = Field(default_factory=dict)
    body_format: Literal["json", "form"] = "json"
    body: dict[str, str] = Field(default_factory=lambda: {"to": "{to}", "text": "{text}"})
    sender: str = ""
    secret_env: str | None = None
    secret_file: str | None = None
    #: Path of the message id in the JSON answer, such as "messages.0.id". No id: not accepted.
    id_path: str = "id"
    timeout_s: float = Field(default=20.0, gt=0, le=120, allow_inf_nan=False)
    max_segments: int = Field(default=2, ge=1, le=3)


class Secrets(BaseModel):
    """What was read from the environment or from files, never written anywhere."""

    model_config = ConfigDict(frozen=True)

    mail_password: SecretStr | None = None
    sms_secret: SecretStr | None = None
    forecast_key: SecretStr | None = None
