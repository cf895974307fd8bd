"""Mail servers that fail in every way of the fault list, on this machine."""

import socketserver
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from ledger import NOW, MemoryLedger, Row
from pydantic import SecretStr

from notify import smtp_talk
from notify.breaker import Breaker
from notify.channel import DeliveryError, OutgoingMessage
from notify.deliver import deliver
from notify.settings import MailSettings
from notify.smtp import SmtpChannel

TEXT = b"From: a@example.org\r\n\r\nhello\r\n"


class Script:
    """What the server answers to each command; a callable may do worse than answer."""

    def __init__(self, **answers: Any) -> None:
        self.answers = {"greet": "220 here", "DOT": "250 kept"} | answers
        self.kept: list[bytes] = []
        self.connections = 0
        self.said: list[str] = []

    def answer(self, command: str, line: str) -> Any:
        told = self.answers.get(command, "354 go on" if command == "DATA" else "250 OK")
        return told(line) if callable(told) else told


@contextmanager
def serving(script: Script) -> Iterator[int]:
    class Talk(socketserver.StreamRequestHandler):
        def say(self, told: str | None) -> bool:
            if told is None:
                self.connection.close()
                return False
            self.wfile.write(told.encode() + b"\r\n")
            return not told.startswith("421")

        def handle(self) -> None:
            script.connections += 1
            if not self.say(script.answer("greet", "")):
                return
            for raw in iter(self.rfile.readline, b""):
                line = raw.decode().strip()
                command = line.upper().split(" ")[0].split(":")[0]
                script.said.append(command)
                told = script.answer(command, line)
                if not self.say(told):
                    return
                if command == "DATA" and str(told).startswith("354") and not self.take_text():
                    return

        def take_text(self) -> bool:
            text = b""
            for raw in iter(self.rfile.readline, b".\r\n"):
                text += raw
            script.kept.append(text)
            return self.say(script.answer("DOT", ""))

    class Server(socketserver.ThreadingTCPServer):
        allow_reuse_address, daemon_threads, block_on_close = True, True, False

        def handle_error(self, *_told: Any) -> None:
            """A client that went away is no news."""

    server = Server(("127.0.0.1", 0), Talk)
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.01})
    thread.start()
    try:
        yield server.server_address[1]
    finally:
        server.shutdown()
        server.server_close()
        thread.join()


@pytest.fixture
def mail() -> Iterator[Callable[[Script], SmtpChannel]]:
    with_port, opened = [], []

    def open_channel(script: Script, timeout_s: float = 0.5) -> SmtpChannel:
        one = serving(script)
        with_port.append(one)
        settings = MailSettings(
            host="127.0.0.1",
            port=one.__enter__(),
            security="plain",
            sender="spray@example.org",
            timeout_s=timeout_s,
        )
        opened.append(SmtpChannel(settings))
        return opened[-1]

    yield open_channel
    for channel in opened:
        channel.close()
    for one in with_port:
        one.__exit__(None, None, None)


def to(name: str) -> OutgoingMessage:
    return OutgoingMessage(f"{name}@example.com", "Tue 6 Oct", "<1@example.org>", TEXT)


def failure(channel: SmtpChannel, name: str = "bob") -> DeliveryError:
    with pytest.raises(DeliveryError) as told:
        channel.send(to(name))
    return told.value


def told_of(error: DeliveryError) -> tuple[bool, bool, bool]:
    return error.permanent, error.in_doubt, error.stops_channel


@pytest.mark.parametrize(
    ("answers", "wanted", "kept"),
    [
        pytest.param({"RCPT": "451 greylisted"}, (False, False, False), 0, id="M01"),
        pytest.param({"RCPT": "550 no such user"}, (True, False, False), 0, id="M02"),
        pytest.param({"DOT": "452 no room"}, (False, False, False), 1, id="M04"),
        pytest.param({"DOT": "554 no thanks"}, (True, False, False), 1, id="M04-5xx"),
        pytest.param({"DOT": lambda _: None}, (False, True, False), 1, id="M05"),
        pytest.param({"DOT": "so what"}, (False, True, False), 1, id="M05-garbage"),
        pytest.param({"DATA": lambda _: None}, (False, False, False), 0, id="M06-at-DATA"),
        pytest.param({"RCPT": lambda _: None}, (False, False, False), 0, id="M06-at-RCPT"),
        pytest.param({"MAIL": lambda _: None}, (False, False, False), 0, id="M06-at-MAIL"),
        pytest.param({"greet": "421 busy"}, (False, False, True), 0, id="M08-greeting"),
        pytest.param({"RCPT": "421 too many"}, (False, False, True), 0, id="M08-RCPT"),
        pytest.param({"greet": lambda _: None}, (False, False, True), 0, id="M08-hung-up"),
        pytest.param({"MAIL": "550 not from you"}, (True, False, True), 0, id="M10-sender"),
    ],
)
def test_what_is_told_of_each_way_to_fail(mail, answers, wanted, kept) -> None:
    script = Script(**answers)

    assert told_of(failure(mail(script))) == wanted
    assert len(script.kept) == kept


@pytest.mark.fault("M05")
def test_an_answer_that_is_slow_after_the_dot_is_waited_for(mail, monkeypatch) -> None:
    """The usual patience of half a second is not what counts there; RFC 5321 asks for 10 min."""
    assert smtp_talk.AFTER_DOT_S == 600
    monkeypatch.setattr(smtp_talk, "AFTER_DOT_S", 5.0)
    pause = threading.Event()
    script = Script(DOT=lambda _: "250 kept at last" if not pause.wait(1.0) else "")
    channel = mail(script)

    channel.send(to("bob"))
    script.answers["RCPT"] = lambda _: "250 OK" if not pause.wait(1.0) else ""

    assert not failure(channel).in_doubt, "the usual patience is back for the next mail"


@pytest.mark.fault("M05")
def test_no_answer_after_the_dot_is_in_doubt(mail, monkeypatch) -> None:
    monkeypatch.setattr(smtp_talk, "AFTER_DOT_S", 0.1)
    pause = threading.Event()
    script = Script(DOT=lambda _: "250 too late" if not pause.wait(2.0) else "")
    channel = mail(script)

    assert failure(channel).in_doubt
    pause.set()


def test_after_a_refusal_the_next_mail_goes_over_the_same_connection(mail) -> None:
    script = Script(RCPT=lambda line: "550 gone" if "gone@" in line else "250 OK")
    channel = mail(script)

    failure(channel, "gone")
    channel.send(to("bob"))

    assert (script.connections, len(script.kept)) == (1, 1)
    assert "RSET" in script.said


def test_after_a_lost_connection_the_next_mail_opens_another(mail) -> None:
    answers = iter([None, "250 kept"])
    script = Script(DOT=lambda _: next(answers))
    channel = mail(script)

    failure(channel)
    channel.send(to("ann"))

    assert script.connections == 2


def test_a_line_that_starts_with_a_dot_arrives_as_it_was(mail) -> None:
    script = Script()
    channel = mail(script)
    text = b"Subject: x\r\n\r\n.first\r\n..second\r\nno end"

    channel.send(OutgoingMessage("bob@example.com", "x", "<1@x>", text))

    # RFC 5321, section 4.5.2: the receiver takes one leading dot away again.
    assert script.kept == [b"Subject: x\r\n\r\n..first\r\n...second\r\nno end\r\n"]


BOOK = {(f"p{n}", "mail"): f"p{n}@example.com" for n in range(30)}


def rows(count: int) -> MemoryLedger:
    return MemoryLedger(*(Row(n, f"p{n}", payload=TEXT) for n in range(count)))


@pytest.mark.fault("M02", "M03")
def test_each_recipient_is_a_mail_of_their_own_and_one_refusal_costs_one(mail) -> None:
    script = Script(RCPT=lambda line: "550 gone" if "p3@" in line else "250 OK")
    book = rows(6)

    told = deliver(book, {"mail": mail(script)}, NOW, "w", BOOK)

    assert (told.sent, told.failed) == (5, 1)
    assert len(script.kept) == 5
    assert script.said.count("RCPT") == script.said.count("MAIL") == 6
    assert book.rows[3].state == "given up"


@pytest.mark.fault("M08")
def test_too_many_connections_are_answered_by_fewer(mail) -> None:
    """Two lanes are turned away; after the pause one connection does the work."""
    script, breaker, book = Script(greet="421 too many connections"), Breaker(), rows(8)
    channel = mail(script)

    turned_away = deliver(
        book, {"mail": channel}, NOW, "w", BOOK, breaker=breaker, lanes={"mail": 2}
    )
    script.answers["greet"], script.connections = "220 here", 0
    later = NOW.replace(hour=12)
    told = deliver(book, {"mail": channel}, later, "w", BOOK, breaker=breaker, lanes={"mail": 2})

    assert (turned_away.sent, turned_away.pending) == (0, 8)
    assert (told.sent, script.connections) == (8, 1)


@pytest.mark.fault("M07")
def test_lanes_have_a_connection_each_and_send_each_mail_once(mail) -> None:
    script, book = Script(), rows(30)

    told = deliver(book, {"mail": mail(script)}, NOW, "w", BOOK, lanes={"mail": 3})

    assert (told.sent, len(script.kept)) == (30, 30)
    assert 1 <= script.connections <= 3


@pytest.mark.fault("M10")
def test_lanes_try_a_refused_login_once_between_them(mail) -> None:
    script = Script(EHLO="250-here\r\n250 AUTH PLAIN", AUTH="535 wrong password")
    channel = mail(script)
    channel._settings = channel._settings.model_copy(update={"user": "desk"})
    channel._password = SecretStr("wrong")
    told = deliver(rows(9), {"mail": channel}, NOW, "w", BOOK, lanes={"mail": 3})

    assert script.said.count("AUTH") == 1
    assert (told.sent, told.failed, told.config_fault) == (0, 0, True)
    assert "check user and password" in told.notes[0]
