"""The mail channel: one message, one recipient, encrypted unless plain is asked for by name."""

import smtplib
import ssl
import threading
from types import TracebackType

from pydantic import SecretStr

from farm.masked_address import masked_address
from notify.addresses import one_address
from notify.channel import DeliveryError, OutgoingMessage, Receipt
from notify.settings import MailSettings
from notify.smtp_talk import CLOSING, SenderRefused, body, envelope
from notify.user_text import plain_line

#: Answers to a login that no retry mends. RFC 4954, section 6.
_LOGIN_REFUSED = range(530, 540)


class SmtpChannel:
    """Hands stored mails to the mail server, over one connection of each thread for many.

    A context manager that closes the connections; without it, `close` does.
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
        self._servers: dict[int, smtplib.SMTP] = {}
        self._opening = threading.Lock()
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
        servers, self._servers = self._servers, {}
        for server in servers.values():
            try:
                server.quit()
            except (smtplib.SMTPException, OSError):
                server.close()

    def log_in(self) -> None:
        """Open a connection as for a mail, and send none; `DeliveryError` where that fails."""
        self._connected()

    def send(self, message: OutgoingMessage) -> Receipt:
        """Hand one mail over; the receipt has no id, as mail servers give none to rely on."""
        try:
            sender = one_address(self._settings.sender).addr_spec
            recipient = one_address(message.address).addr_spec
        except ValueError as error:
            raise DeliveryError(str(error), permanent=True) from None
        server = self._connected()
        try:
            envelope(server, sender, recipient)
        except (smtplib.SMTPException, OSError) as error:
            raise self._failed(error, message.address, in_doubt=False) from None
        try:
            body(server, message.body)
        except (smtplib.SMTPException, OSError) as error:
            raise self._failed(error, message.address, in_doubt=True) from None
        return Receipt()

    def _failed(self, error: Exception, address: str, *, in_doubt: bool) -> DeliveryError:
        """What went wrong with one mail; the connection is kept where the server still listens."""
        if isinstance(error, smtplib.SMTPResponseException):
            closing = error.smtp_code == CLOSING
            if closing or not self._still_listens():
                self._drop()
            stops = closing or isinstance(error, SenderRefused)
            return self._refusal(error.smtp_code, error.smtp_error, address, stops=stops)
        self._drop()
        return _lost(self._where, error, in_doubt=in_doubt, stops_channel=False)

    def _still_listens(self) -> bool:
        server = self._servers.get(threading.get_ident())
        if server is None or server.sock is None:
            return False
        try:
            server.rset()
        except (smtplib.SMTPException, OSError):
            return False
        return True

    @property
    def _where(self) -> str:
        return f"mail server {self._settings.host}:{self._settings.port}"

    def _connected(self) -> smtplib.SMTP:
        mine = threading.get_ident()
        with self._opening:
            # A login refused once is not tried again: many servers lock the account after a few.
            if self._login_refused is not None:
                raise self._login_refused
            if mine not in self._servers:
                try:
                    self._servers[mine] = self._opened()
                except smtplib.SMTPException as error:
                    told = self._told(error)
                    if isinstance(error, smtplib.SMTPAuthenticationError) and told.permanent:
                        self._login_refused = told
                    raise told from None
                except OSError as error:
                    raise _lost(self._where, error, in_doubt=False, stops_channel=True) from None
            return self._servers[mine]

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

    def _drop(self) -> None:
        server = self._servers.pop(threading.get_ident(), None)
        if server is not None:
            server.close()

    def _told(self, error: smtplib.SMTPException) -> DeliveryError:
        """Why no connection could be opened."""
        if isinstance(error, smtplib.SMTPResponseException):
            login = isinstance(error, smtplib.SMTPAuthenticationError)
            return self._refusal(error.smtp_code, error.smtp_error, "", stops=True, login=login)
        if isinstance(error, smtplib.SMTPNotSupportedError):
            text = f"{self._where}: {plain_line(str(error))}; check security and user"
            return DeliveryError(text, permanent=True, stops_channel=True)
        return _lost(self._where, error, in_doubt=False, stops_channel=True)

    def _refusal(
        self, code: int, words: bytes | str, address: str, *, stops: bool, login: bool = False
    ) -> DeliveryError:
        said = words.decode("utf-8", "replace") if isinstance(words, bytes) else words
        whom = f" for {masked_address(address)}" if address else ""
        said = plain_line(said.replace(address, masked_address(address)) if address else said)
        login = login or code in _LOGIN_REFUSED
        what = "; check user and password" if login else ""
        return DeliveryError(
            f"{self._where}: answered {code}{whom}: {said[:200]}{what}",
            permanent=500 <= code < 600,
            stops_channel=stops or login,
        )


def _lost(where: str, error: Exception, *, in_doubt: bool, stops_channel: bool) -> DeliveryError:
    what = "connection lost, the mail may have been sent" if in_doubt else "no connection"
    if isinstance(error, ssl.SSLError):
        what = "encryption or certificate not accepted; check host and security"
    return DeliveryError(
        f"{where}: {what} ({type(error).__name__})",
        in_doubt=in_doubt,
        stops_channel=stops_channel,
    )
