"""Settings of the channels."""

from datetime import time
from typing import Any, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, SecretStr, model_validator

#: Variable the key of links is looked for in, unless the settings name another.
LINK_KEY_ENV = "WARMSPELL_LINK_KEY"


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
    """Text messages: through a gateway by HTTP, or a service the optional library knows.

    For ``kind`` "gateway", ``body`` and header values may hold ``{to}``, ``{text}``, ``{sender}``,
    ``{secret}`` and ``{reference}``; they are filled in with JSON or form quoting, whichever
    ``body_format`` says. For "service", the address of the service stands in a variable or a file,
    since it holds a password; ``{to}`` in it is where the number goes.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    kind: Literal["gateway", "service"] = "gateway"
    url: str | None = Field(default=None, min_length=8)
    method: Literal["POST", "PUT"] = "POST"
    headers: dict[str, str] = Field(default_factory=dict)
    body_format: Literal["json", "form"] = "json"
    body: dict[str, str] = Field(default_factory=lambda: {"to": "{to}", "text": "{text}"})
    sender: str = ""
    secret_env: str | None = None
    secret_file: str | None = None
    #: Variable or file that holds the address of the service.
    service_env: str | None = None
    service_file: str | None = None
    #: Path of the message id in the JSON answer, such as "messages.0.id". No id: not accepted.
    id_path: str = "id"
    timeout_s: float = Field(default=20.0, gt=0, le=120, allow_inf_nan=False)
    max_segments: int = Field(default=2, ge=1, le=3)
    #: Whether a text goes only to who agreed to it, as kept by `warmspell people allow`.
    consent_needed: bool = True
    #: No text goes out from, and until, these times of the reader's own clock. Judgement.
    quiet_from: time = time(21, 0)
    quiet_until: time = time(5, 0)
    #: Variable or file with the word that answers and delivery reports must bring to be believed.
    answers_secret_env: str | None = None
    answers_secret_file: str | None = None
    #: Paths in an answer, and in a delivery report, as the gateway sends them.
    answer_from: str = "from"
    answer_text: str = "text"
    answer_id: str = "id"
    report_id: str = "id"
    report_state: str = "status"

    @model_validator(mode="after")
    def _reachable(self) -> Self:
        if self.kind == "gateway" and self.url is None:
            raise ValueError('url is missing; name the gateway, or set kind = "service"')
        if self.kind == "service" and not (self.service_env or self.service_file):
            raise ValueError("service_env is missing; name the variable that holds the address")
        return self


class LinkSettings(BaseModel):
    """Links in mails, which need the board to be reachable and a key to sign them with."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    #: Where readers reach the board, such as "https://board.example.com".
    base_url: str = Field(pattern=r"^https://[^\s/?#]+(/[^\s?#]*)?$", max_length=200)
    #: Variable or file that holds the key; two keys with a space between, the newer first, while
    #: one is being changed.
    key_env: str | None = None
    key_file: str | None = None
    #: How long a link works [days]; the one that ends the mails has no end.
    valid_days: int = Field(default=7, ge=1, le=30)

    @model_validator(mode="before")
    @classmethod
    def _own_variable(cls, told: Any) -> Any:
        named = isinstance(told, dict) and not {"key_env", "key_file"} & set(told)
        return told | {"key_env": LINK_KEY_ENV} if named else told


class Secrets(BaseModel):
    """What was read from the environment or from files, never written anywhere."""

    model_config = ConfigDict(frozen=True)

    mail_password: SecretStr | None = None
    sms_secret: SecretStr | None = None
    forecast_key: SecretStr | None = None
    sms_service: SecretStr | None = None
    answers_secret: SecretStr | None = None
    link_key: SecretStr | None = None
    ping_url: SecretStr | None = None
    database_password: SecretStr | None = None
