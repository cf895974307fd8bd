"""The mail channel: one message, one recipient, encrypted unless plain is asked for by name."""

import smtplib
import ssl
from types import TracebackType

from pydantic import SecretStr

from farm.masked_address import masked_address
from notify.addresses import one_address
from notify.channel import DeliveryError, OutgoingMessage, Receipt
from notify.settings import MailSettings
from notify.user_text import plain_line

#: Answers to a login that no retry mends. RFC 4954, section 6.
_LOGIN_REFUSED = range(530, 540)


class SmtpChannel:
    """Hands stored mails to the mail server, over one connection for many.

    A context manager that closes the connection; without it, `close` does.
    """

    def __init__(
        self,
        settings: MailSettings,
        password: SecretStr | None = None,
        context: ssl.SSLContext | None = None,
    ) -> None:
        self._settings = settings
        self._password = password
        self._context = context
        self._server: smtplib.SMTP | None = None
        self._login_refused: DeliveryError | None = None

    def __enter__(self) -> "SmtpChannel":
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        fault: BaseException | None,
        traceback: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Say goodbye to the server, if it still listens."""
        server, self._server = self._server, None
        if server is None:
            return
        try:
            server.quit()
        except (smtplib.SMTPException, OSError):
            server.close()

    def send(self, message: OutgoingMessage) -> Receipt:
        """Hand one mail over; the receipt has no id, as mail servers give none to rely on."""
        try:
            sender = one_address(self._settings.sender).addr_spec
            recipient = one_address(message.address).addr_spec
        except ValueError as error:
            raise DeliveryError(str(error), permanent=True) from None
        server = self._connected()
        try:
            refused = server.sendmail(sender, [recipient], message.body)
        except smtplib.SMTPException as error:
            self._after(error)
            raise self._told(error, message.address) from None
        except OSError as error:
            self._drop()
            raise _lost(self._where, error, in_doubt=True) from None
        if refused:
            code, words = next(iter(refused.values()))
            raise self._refusal(code, words, message.address)
        return Receipt()

    @property
    def _where(self) -> str:
        return f"mail server {self._settings.host}:{self._settings.port}"

    def _connected(self) -> smtplib.SMTP:
        # A login refused once is not tried again: many servers lock the account after a few.
        if self._login_refused is not None:
            raise self._login_refused
        if self._server is None:
            try:
                self._server = self._opened()
            except smtplib.SMTPException as error:
                told = self._told(error, "")
                if isinstance(error, smtplib.SMTPAuthenticationError) and told.permanent:
                    self._login_refused = told
                raise told from None
            except OSError as error:
                raise _lost(self._where, error, in_doubt=False) from None
        return self._server

    def _opened(self) -> smtplib.SMTP:
        told = self._settings
        context = self._context or ssl.create_default_context()
        if told.security == "tls":
            server: smtplib.SMTP = smtplib.SMTP_SSL(
                told.host, told.port, timeout=told.timeout_s, context=context
            )
        else:
            server = smtplib.SMTP(told.host, told.port, timeout=told.timeout_s)
        try:
            if told.security == "starttls":
                self._encrypt(server, context)
            if told.user and self._password is not None:
                server.login(told.user, self._password.get_secret_value())
        except BaseException:
            server.close()
            raise
        return server

    def _encrypt(self, server: smtplib.SMTP, context: ssl.SSLContext) -> None:
        server.ehlo_or_helo_if_needed()
        if not server.has_extn("starttls"):
            raise DeliveryError(
                f"{self._where}: got no STARTTLS, wanted an encrypted connection; set security = "
                '"tls", or "plain" if the server is on this machine',
                permanent=True,
                stops_channel=True,
            )
        server.starttls(context=context)
        server.ehlo()

    def _after(self, error: smtplib.SMTPException) -> None:
        """Keep the connection only where the server's answer shows that it still listens."""
        answered = isinstance(error, smtplib.SMTPRecipientsRefused | smtplib.SMTPResponseException)
        if not answered or self._server is None or self._server.sock is None:
            self._drop()

    def _drop(self) -> None:
        server, self._server = self._server, None
        if server is not None:
            server.close()

    def _told(self, error: smtplib.SMTPException, address: str) -> DeliveryError:
        if isinstance(error, smtplib.SMTPRecipientsRefused):
            code, words = next(iter(error.recipients.values()))
            return self._refusal(code, words, address)
        if isinstance(error, smtplib.SMTPResponseException):
            login = isinstance(error, smtplib.SMTPAuthenticationError)
            return self._refusal(error.smtp_code, error.smtp_error, address, login=login)
        if isinstance(error, smtplib.SMTPNotSupportedError):
            text = f"{self._where}: {plain_line(str(error))}; check security and user"
            return DeliveryError(text, permanent=True, stops_channel=True)
        return _lost(self._where, error, in_doubt=bool(address))

    def _refusal(
        self, code: int, words: bytes | str, address: str, *, login: bool = False
    ) -> DeliveryError:
        said = words.decode("utf-8", "replace") if isinstance(words, bytes) else words
        whom = f" for {masked_address(address)}" if address else ""
        said = plain_line(said.replace(address, masked_address(address)) if address else said)
        stops = code in _LOGIN_REFUSED or login or not address
        what = "; check user and password" if code in _LOGIN_REFUSED else ""
        return DeliveryError(
            f"{self._where}: answered {code}{whom}: {said[:200]}{what}",
            permanent=500 <= code < 600,
            stops_channel=stops,
        )


def _lost(where: str, error: Exception, *, in_doubt: bool) -> DeliveryError:
    what = "connection lost, the mail may have been sent" if in_doubt else "no connection"
    if isinstance(error, ssl.SSLError):
        what = "encryption or certificate not accepted; check host and security"
    return DeliveryError(
        f"{where}: {what} ({type(error).__name__})",
        in_doubt=in_doubt,
        stops_channel=not in_doubt,
    )
