"""The mail channel against a real server on this machine."""

import socket
import ssl
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from aiosmtpd.controller import Controller
from aiosmtpd.smtp import AuthResult, Envelope, Session
from pydantic import SecretStr

from notify.channel import DeliveryError, OutgoingMessage
from notify.settings import MailSettings
from notify.smtp import SmtpChannel

MAIL = (
    b"From: spray@example.org\r\nTo: bob@example.com\r\nMessage-ID: <1@example.org>\r\n"
    b"\r\n.dot first\r\nhello\r\n"
)


class Inbox:
    """Takes mail for anybody but the people who are refused by name."""

    def __init__(self) -> None:
        self.mails: list[tuple[list[str], bytes]] = []
        self.connections: set[object] = set()
        self.logins: set[object] = set()
        self.passwords: list[bytes] = []

    async def handle_RCPT(
        self, server: Any, session: Session, envelope: Envelope, address: str, options: list[str]
    ) -> str:
        answers = {"gone@example.com": "550 no such user", "later@example.com": "451 try later"}
        if address not in answers:
            envelope.rcpt_tos.append(address)
        return answers.get(address, "250 OK")

    async def handle_DATA(self, server: Any, session: Session, envelope: Envelope) -> str:
        if b"X-Full" in (envelope.content or b""):
            return "452 out of space"
        if b"X-Lost" in (envelope.content or b""):
            self.mails.append((envelope.rcpt_tos, bytes(envelope.content or b"")))
            server.transport.abort()
            return "250 never heard"
        self.connections.add(session.peer)
        self.mails.append((envelope.rcpt_tos, bytes(envelope.content or b"")))
        return "250 OK"


@pytest.fixture
def inbox() -> Inbox:
    return Inbox()


@pytest.fixture
def server(inbox: Inbox) -> Iterator[Controller]:
    controller = Controller(inbox, hostname="127.0.0.1", port=free_port())
    yield from running(controller)


@pytest.fixture(scope="module")
def own_certificate(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    folder = tmp_path_factory.mktemp("certificate")
    key, cert = folder / "key.pem", folder / "cert.pem"
    told = "openssl req -x509 -newkey rsa:2048 -nodes -days 2 -subj /CN=localhost"
    name = "-addext subjectAltName=DNS:localhost"
    command = [*told.split(), *name.split(), "-keyout", str(key), "-out", str(cert)]
    subprocess.run(command, check=True, capture_output=True)
    return key, cert


@pytest.fixture
def encrypting(inbox: Inbox, own_certificate: tuple[Path, Path]) -> Iterator[Controller]:
    def right(server: Any, session: Any, envelope: Any, mechanism: str, told: Any) -> AuthResult:
        inbox.passwords.append(told.password)
        inbox.logins.add(session.peer)
        return AuthResult(success=told.password == b"right", handled=False)

    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(own_certificate[1], own_certificate[0])
    yield from running(
        Controller(
            inbox,
            hostname="127.0.0.1",
            port=free_port(),
            tls_context=context,
            authenticator=right,
        )
    )


def free_port() -> int:
    with socket.socket() as unused:
        unused.bind(("127.0.0.1", 0))
        port: int = unused.getsockname()[1]
    return port


def running(controller: Controller) -> Iterator[Controller]:
    controller.start()
    yield controller
    controller.stop()


def channel(server: Controller, security: str = "plain", **more: Any) -> SmtpChannel:
    told = {"host": "localhost", "sender": "Spray <spray@example.org>", "timeout_s": 5, **more}
    context, password = told.pop("context", None), told.pop("password", None)
    settings = MailSettings(port=server.port, security=security, **told)
    return SmtpChannel(settings, SecretStr(password) if password else None, context)


def mail_to(address: str, body: bytes = MAIL) -> OutgoingMessage:
    return OutgoingMessage(address, "Tue 6 Oct", "<1@example.org>", body)


def test_plain_by_name_sends_the_stored_bytes(server: Controller, inbox: Inbox) -> None:
    with channel(server) as mail:
        mail.send(mail_to("bob@example.com"))

    assert inbox.mails == [(["bob@example.com"], MAIL)]


def test_many_mails_go_over_one_connection_one_recipient_each(
    server: Controller, inbox: Inbox
) -> None:
    with channel(server) as mail:
        for name in ("a", "b", "c"):
            mail.send(mail_to(f"{name}@example.com"))

    assert [to for to, _ in inbox.mails] == [[f"{name}@example.com"] for name in ("a", "b", "c")]
    assert len(inbox.connections) == 1


@pytest.mark.fault("M09")
def test_a_server_without_starttls_gets_nothing(server: Controller, inbox: Inbox) -> None:
    with channel(server, "starttls") as mail, pytest.raises(DeliveryError) as told:
        mail.send(mail_to("bob@example.com"))

    assert told.value.permanent
    assert told.value.stops_channel
    assert "STARTTLS" in str(told.value)
    assert inbox.mails == []


def test_starttls_with_a_trusted_certificate_sends(
    encrypting: Controller, inbox: Inbox, own_certificate: tuple[Path, Path]
) -> None:
    context = ssl.create_default_context(cafile=str(own_certificate[1]))
    with channel(encrypting, "starttls", context=context, user="desk", password="right") as mail:
        mail.send(mail_to("bob@example.com"))

    assert len(inbox.mails) == 1


def test_a_certificate_nobody_vouches_for_is_refused(encrypting: Controller, inbox: Inbox) -> None:
    with channel(encrypting, "starttls") as mail, pytest.raises(DeliveryError) as told:
        mail.send(mail_to("bob@example.com"))

    assert "certificate" in str(told.value)
    assert told.value.stops_channel
    assert inbox.mails == []


@pytest.mark.fault("M10")
def test_a_refused_password_stops_the_channel_and_is_not_tried_again(
    encrypting: Controller, inbox: Inbox, own_certificate: tuple[Path, Path]
) -> None:
    context = ssl.create_default_context(cafile=str(own_certificate[1]))
    told = []
    with channel(
        encrypting, "starttls", context=context, user="desk", password="wrong-word"
    ) as mail:
        for name in ("bob", "ann"):
            with pytest.raises(DeliveryError) as error:
                mail.send(mail_to(f"{name}@example.com"))
            told.append(error.value)

    assert all(one.stops_channel for one in told)
    assert "answered 535" in str(told[0])
    assert "wrong-word" not in str(told[0])
    assert set(inbox.passwords) == {b"wrong-word"}
    assert len(inbox.logins) == 1


@pytest.mark.parametrize(
    ("address", "code", "permanent"),
    [("gone@example.com", 550, True), ("later@example.com", 451, False)],
)
def test_5xx_is_final_4xx_is_not_and_the_next_mail_goes(
    server: Controller, inbox: Inbox, address: str, code: int, permanent: bool
) -> None:
    with channel(server) as mail:
        with pytest.raises(DeliveryError) as told:
            mail.send(mail_to(address))
        mail.send(mail_to("bob@example.com"))

    assert told.value.permanent is permanent
    assert not told.value.stops_channel
    assert f"answered {code}" in str(told.value)
    assert address not in str(told.value)
    assert "***@example.com" in str(told.value)
    assert len(inbox.mails) == 1


@pytest.mark.fault("M04")
def test_a_full_server_is_tried_again(server: Controller) -> None:
    with channel(server) as mail, pytest.raises(DeliveryError) as told:
        mail.send(mail_to("bob@example.com", b"From: a@example.org\r\nX-Full: 1\r\n\r\n"))

    assert not told.value.permanent


@pytest.mark.fault("M05")
def test_a_connection_lost_after_the_dot_is_in_doubt_and_the_next_mail_goes(
    server: Controller, inbox: Inbox
) -> None:
    with channel(server) as mail:
        with pytest.raises(DeliveryError) as told:
            mail.send(mail_to("bob@example.com", b"From: a@example.org\r\nX-Lost: 1\r\n\r\n"))
        mail.send(mail_to("ann@example.com"))

    assert told.value.in_doubt
    assert not told.value.permanent
    assert "may have been sent" in str(told.value)
    assert len(inbox.mails) == 2


def test_no_server_at_all_is_temporary_and_not_in_doubt() -> None:
    settings = MailSettings(
        host="127.0.0.1", port=free_port(), security="plain", sender="a@example.org"
    )

    with pytest.raises(DeliveryError) as told:
        SmtpChannel(settings).send(mail_to("bob@example.com"))

    assert (told.value.permanent, told.value.in_doubt) == (False, False)
    assert told.value.stops_channel


@pytest.mark.fault("M12")
def test_two_addresses_in_one_are_refused_before_the_server_is_asked(
    server: Controller, inbox: Inbox
) -> None:
    with channel(server) as mail, pytest.raises(DeliveryError) as told:
        mail.send(mail_to("bob@example.com, eve@example.com"))

    assert told.value.permanent
    assert inbox.mails == []
