"""Whole mornings from the command line, sent to a mail server and a gateway of this machine."""

import json
import shutil
import socket
import sqlite3
import threading
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path

import pytest
from aiosmtpd.controller import Controller

from scheduler.commands import run


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo farm, written once."""
    folder = tmp_path_factory.mktemp("demo") / "farm"
    assert run(["demo", "--out", str(folder)]) == 0
    return folder


@pytest.fixture
def coop(demo: Path, tmp_path: Path) -> Path:
    """The config file of a fresh copy of the demo farm, with nothing run on it yet."""
    folder = tmp_path / "coop"
    shutil.copytree(demo, folder)
    with sqlite3.connect(folder / "warmspell.sqlite3") as database:
        database.execute("delete from plans")
    database.close()
    return folder / "farm.toml"


class Post:
    """A mail server that keeps every mail; ``refused`` are addresses it does not take."""

    def __init__(self) -> None:
        self.mails: list[tuple[str, bytes]] = []
        self.refused: set[str] = set()

    async def handle_DATA(self, server, session, envelope):
        for address in envelope.rcpt_tos:
            self.mails.append((address, envelope.content))
        return "250 kept"

    async def handle_RCPT(self, server, session, envelope, address, options):
        if address in self.refused:
            return "550 nobody of that name here"
        envelope.rcpt_tos.append(address)
        return "250 OK"


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


@pytest.fixture
def post():
    box = Post()
    server = Controller(box, hostname="127.0.0.1", port=free_port(), ready_timeout=30)
    server.start()
    box.port = server.port
    yield box
    server.stop()


@pytest.fixture
def gateway():
    """A text message gateway that takes everything and gives each message an id."""

    class Gateway(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            length = int(self.headers["Content-Length"])
            server.texts.append(json.loads(self.rfile.read(length)))
            body = json.dumps({"id": f"m{len(server.texts)}"}).encode()
            self.send_response(200)
            self.send_header("Content-Length", str(len(body)))
            self.end_headers()
            self.wfile.write(body)

        def log_message(self, *_: object) -> None:
            pass

    server = HTTPServer(("127.0.0.1", 0), Gateway)
    server.texts = []
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    yield server
    server.shutdown()
    thread.join()
    server.server_close()


def with_mail(config: Path, port: int) -> None:
    added = f'\n[mail]\nhost = "127.0.0.1"\nport = {port}\nsecurity = "plain"\n'
    added += 'sender = "digest@example.org"\n'
    config.write_text(config.read_text("utf-8") + added, "utf-8")


def with_sms(config: Path, port: int) -> None:
    added = f'\n[sms]\nurl = "http://127.0.0.1:{port}/send"\nconsent_needed = false\n'
    config.write_text(config.read_text("utf-8") + added, "utf-8")


def test_the_demo_ends_with_the_digest_and_leaves_its_farm(demo, warmspell, tmp_path):
    told = warmspell("demo", "--out", tmp_path / "new")
    assert told.code == 0
    assert told.out.startswith("Subject: Tue 6 Oct: spray ")
    assert "The label is the law" in told.out
    assert f"warmspell rank --config {tmp_path / 'new' / 'farm.toml'}" in told.err
    made = {one.name for one in (tmp_path / "new" / "digests").iterdir()}
    assert {"morning.json", "morning.csv"} <= made
    for ending in (".txt", ".html", ".sms.txt"):
        assert [name for name in made if name.endswith(ending)]
    for command in (["check"], ["rank"], ["scout", "list"]):
        assert warmspell(*command, "--config", tmp_path / "new" / "farm.toml").code == 0


def test_the_demo_never_writes_over_a_folder(warmspell, tmp_path):
    (tmp_path / "mine.txt").write_text("mine")
    told = warmspell("demo", "--out", tmp_path)
    assert (told.code, told.out) == (65, "")
    assert [one.name for one in tmp_path.iterdir()] == ["mine.txt"]


def test_the_demo_takes_a_new_folder_each_time(warmspell, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert warmspell("demo").code == 0
    assert warmspell("demo").code == 0
    assert sorted(one.name for one in tmp_path.iterdir()) == ["warmspell-demo", "warmspell-demo-2"]


def test_a_dry_run_shows_the_digest_sends_nothing_and_can_be_explained(warmspell, coop, post):
    with_mail(coop, post.port)
    told = warmspell("morning", "--dry-run", "--config", coop)
    assert told.code == 3
    assert told.out.startswith("Subject: Tue 6 Oct: ")
    assert post.mails == []
    ranked = json.loads(warmspell("rank", "--json", "--config", coop).out)
    first = next(one for one in ranked["fields"] if one["rank"] == 1)
    explained = warmspell("explain", first["name"], "--config", coop)
    assert explained.code == 0
    assert f"= 100 x {first['factors_now']['warmth_alive']:.4f} x " in explained.out
    assert "number 1 of " in explained.out


def test_every_person_is_reached_once_and_the_same_morning_again_sends_nothing(
    warmspell, coop, post, gateway
):
    with_mail(coop, post.port)
    with_sms(coop, gateway.server_port)
    told = warmspell("morning", "--config", coop)
    assert told.code == 3
    mails, texts = list(post.mails), list(gateway.texts)
    assert len({address for address, _ in mails}) == len(mails) == 4
    assert len({one["to"] for one in texts}) == len(texts) == 3
    assert f"{len(mails) + len(texts)} sent" in told.out
    again = warmspell("morning", "--config", coop)
    assert again.code == 3
    assert "sent before" in again.out
    assert (post.mails, gateway.texts) == (mails, texts)


def test_somebody_who_cannot_be_reached_is_told_about_and_stops_nobody_else(warmspell, coop, post):
    with_mail(coop, post.port)
    post.refused = {"june@example.org"}
    told = warmspell("morning", "--config", coop)
    assert told.code == 4
    assert len(post.mails) == 3
    assert "1 failed" in told.out
    assert "mail to june: " in told.err
    assert "june@example.org" not in told.out + told.err


def test_a_mail_server_that_is_away_leaves_all_waiting(warmspell, coop):
    with_mail(coop, free_port())
    told = warmspell("morning", "--config", coop)
    assert told.code == 4
    assert "4 waiting to be tried again" in told.out
    again = warmspell("morning", "--config", coop)
    assert again.code == 4
    assert "made before" in again.out
    assert "Not with their readers yet: 4 digests of this date." in again.out


def test_the_json_of_a_morning_is_all_that_stdout_holds(warmspell, coop, tmp_path):
    told = warmspell("morning", "--dry-run", "--json", "--out", tmp_path / "out", "--config", coop)
    fields = json.loads(told.out)["fields"]
    assert len(fields) == json.loads(told.out)["run"]["fields"]
    assert json.loads((tmp_path / "out" / "morning.json").read_text()) == json.loads(told.out)


def test_without_any_answer_the_digest_still_goes_out_and_says_so(warmspell, coop, post):
    with_mail(coop, post.port)
    for answer in (coop.parent / "answers").iterdir():
        answer.unlink()
    with sqlite3.connect(coop.parent / "warmspell.sqlite3") as database:
        database.execute("delete from forecasts")
    database.close()
    told = warmspell("morning", "--config", coop)
    assert told.code == 69
    assert len(post.mails) == 4
    ranked = json.loads(warmspell("rank", "--json", "--config", coop).out)
    assert {one["call"] for one in ranked["fields"] if not one["follow_up"]} == {"unknown"}


def test_a_field_without_a_forecast_is_not_known_and_exits_3(warmspell, coop):
    told = warmspell("morning", "--config", coop)
    assert told.code == 3
    assert "not known 4" in told.out
    assert "Nothing sent" in told.out
    again = warmspell("morning", "--config", coop)
    assert "Nothing sent" in again.out
    assert "sent before" not in again.out


def test_a_date_without_a_morning_is_said_to_have_none(warmspell, coop):
    warmspell("morning", "--dry-run", "--config", coop)
    told = warmspell("explain", "creek bottom", "--on", "2026-09-01", "--config", coop)
    assert (told.code, told.out) == (75, "")
    assert "none was made for 2026-09-01" in told.err


def test_a_visit_changes_the_next_call(warmspell, coop):
    def call(name: str) -> str:
        warmspell("morning", "--dry-run", "--config", coop)
        ranked = json.loads(warmspell("rank", "--json", "--config", coop).out)
        return next(one["call"] for one in ranked["fields"] if one["name"] == name)

    assert call("Beaver Trap") == "unknown"
    warmspell(
        *("scout", "add", "Beaver Trap", "--nacb", "3", "--open", "70", "--plants", "12"),
        "--config",
        coop,
    )
    assert call("Beaver Trap") in {"spray", "short"}
    warmspell("spray", "log", "Beaver Trap", "--config", coop)
    assert call("Beaver Trap") == "wait"
