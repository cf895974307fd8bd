"""``warmspell doctor`` on a farm on disk, and on servers that are there, silent, or gone."""

import json
import shutil
import socket
import sqlite3
import threading
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from datetime import UTC, date, datetime, timedelta
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path
from uuid import uuid4

import pytest

from farm.records import Visit
from scheduler import doctor_farm, doctor_network
from storage.stores import open_stores
from tests.acceptance.postbox import open_postbox

NOW = datetime(2026, 10, 6, 11, tzinfo=UTC)
DATABASE = "warmspell.sqlite3"


@pytest.fixture
def filled(farm) -> Path:
    with open_stores(DATABASE, farm.parent) as stores:
        visits = [
            Visit(uuid=uuid4(), field_id="007", observed_utc=NOW, percent_open=64.0)
            for _ in range(3)
        ]
        stores.visits.add(visits, NOW)
    return farm


@pytest.fixture
def asked(warmspell) -> Callable[..., tuple[int, dict[str, tuple[str, str]]]]:
    """Ask the doctor, and give its code and what it says by check."""

    def call(config: Path, *options: str) -> tuple[int, dict[str, tuple[str, str]]]:
        told = warmspell("doctor", "--config", config, "--json", *options)
        answer = json.loads(told.out)
        assert answer["exit_code"] == told.code
        return told.code, {one["check"]: (one["word"], one["told"]) for one in answer["checks"]}

    return call


def _with(config: Path, text: str) -> Path:
    config.write_text(config.read_text("utf-8") + "\n" + text, "utf-8")
    return config


def _mail(port: int) -> str:
    return (
        f'[mail]\nhost = "127.0.0.1"\nport = {port}\nsecurity = "plain"\n'
        'sender = "farm@sandhill.example"\ntimeout_s = 1.0\n'
    )


def test_a_farm_in_order_has_no_fault_and_is_not_changed(filled, asked, warmspell):
    before = (filled.parent / DATABASE).read_bytes()
    code, told = asked(filled, "--offline")

    assert code == 0
    assert {name: word for name, (word, _) in told.items()} == {
        "config": "LOOK",  # the starter's own warnings
        "secrets": "OK",
        "database": "OK",
        "records": "OK",
        "clock": "OK",
        "clock of others": "OK",
        "disk": "OK",
        "backup": "LOOK",
        "last morning": "LOOK",
        "fetched ahead": "OK",
        "newest forecast": "LOOK",
    }
    assert "3 records, every seal whole" in told["records"][1]
    assert (filled.parent / DATABASE).read_bytes() == before
    spoken = warmspell("doctor", "--config", filled, "--offline").out.splitlines()
    assert len(spoken) == 11
    assert all(line.split()[0] in ("OK", "LOOK", "FAULT") for line in spoken)


def test_a_farm_without_a_database_is_told_and_none_is_made(farm, asked):
    code, told = asked(farm, "--offline")
    assert code == 0
    assert told["database"][0] == "LOOK"
    assert "put back a backup" in told["database"][1]
    assert not (farm.parent / DATABASE).exists()


def test_a_config_that_cannot_be_used_is_a_fault_of_its_own(farm, warmspell):
    _with(farm, "[harvests]\n")
    told = warmspell("doctor", "--config", farm)
    assert told.code == 78
    assert told.out.startswith("FAULT  config")
    assert "harvests" in told.err


@pytest.mark.fault("D08")
def test_an_altered_record_is_named_beside_a_sound_file(filled, asked):
    with closing(sqlite3.connect(filled.parent / DATABASE)) as connection:
        connection.execute("UPDATE visits SET record = replace(record, '64', '94') WHERE id = 2")
        connection.commit()
    code, told = asked(filled, "--offline")
    assert code == 74
    assert told["database"][0] == "OK"
    assert told["records"][0] == "FAULT"
    assert "visits row 2" in told["records"][1]


@pytest.mark.fault("D07", "D09", "D10")
@pytest.mark.parametrize(
    ("spoilt", "words"),
    [(b"", "an empty file"), (b"acres\n" * 900, "not a database")],
    ids=["zero bytes", "garbage"],
)
def test_a_file_that_is_no_database_leaves_the_other_checks_at_work(filled, asked, spoilt, words):
    (filled.parent / DATABASE).write_bytes(spoilt)
    code, told = asked(filled, "--offline")
    assert code == 74
    assert words in told["database"][1]
    assert (told["disk"][0], told["secrets"][0]) == ("OK", "OK")
    assert (filled.parent / DATABASE).read_bytes() == spoilt


def test_a_page_smashed_is_found(filled, asked):
    path = filled.parent / DATABASE
    with closing(sqlite3.connect(path)) as connection:
        name = "sqlite_autoindex_visits_1"
        asked_page = "SELECT rootpage FROM sqlite_master WHERE name = ?"
        (page,) = connection.execute(asked_page, (name,)).fetchone()
    content = bytearray(path.read_bytes())
    content[(page - 1) * 4096 : (page - 1) * 4096 + 100] = b"\xff" * 100
    path.write_bytes(content)
    code, told = asked(filled, "--offline")
    assert code == 74
    assert "damaged" in told["database"][1]


def test_a_record_ahead_of_the_clock_says_the_clock_is_wrong(filled, asked):
    with open_stores(DATABASE, filled.parent) as stores:
        ahead = NOW + timedelta(hours=2)
        stores.runs.begin(date(2026, 10, 6), "morning", ahead)
    code, told = asked(filled, "--offline")
    assert code == 78
    assert "set the clock" in told["clock"][1]


@pytest.mark.parametrize(
    ("days", "word"), [(1, "OK"), (7, "OK"), (8, "LOOK")], ids=["yesterday", "a week", "older"]
)
def test_the_age_of_the_last_whole_backup_is_told(filled, asked, days, word):
    with open_stores(DATABASE, filled.parent) as stores:
        stores.runs.keep("backup", date(2026, 9, 1), 0, "kept", NOW - timedelta(days=days))
        # One of damaged rows is no backup to count on.
        stores.runs.keep("backup", date(2026, 10, 6), 74, "damaged", NOW)
    _, told = asked(filled, "--offline")
    assert told["backup"][0] == word
    assert f"{days} days old" in told["backup"][1]


def test_a_backup_made_by_the_command_counts(filled, asked, warmspell, tmp_path):
    warmspell("backup", tmp_path / "kept.zip", "--config", filled)
    assert asked(filled, "--offline")[1]["backup"][0] == "OK"


@pytest.mark.parametrize(
    ("sent_on", "clock", "word", "code"),
    [
        pytest.param(date(2026, 10, 6), "T11:00", "OK", 0, id="today"),
        pytest.param(date(2026, 10, 5), "T11:00", "OK", 0, id="yesterday, not due yet"),
        pytest.param(date(2026, 10, 5), "T12:30", "FAULT", 4, id="yesterday, overdue"),
        pytest.param(date(2026, 9, 1), "T12:30", "LOOK", 0, id="long ago"),
    ],
)
def test_the_last_morning_sent_is_told(filled, asked, sent_on, clock, word, code):
    filled.write_text(filled.read_text().replace("T11:00", clock))
    with open_stores(DATABASE, filled.parent) as stores:
        number = stores.runs.begin(sent_on, "morning", NOW)
        stores.runs.finish(number, 0, NOW, sent=True)
    told_code, told = asked(filled, "--offline")
    assert (told["last morning"][0], told_code) == (word, code)


def test_little_room_on_the_disk_is_told(filled, asked, monkeypatch):
    usage = shutil.disk_usage(filled.parent)
    monkeypatch.setattr(doctor_farm.shutil, "disk_usage", lambda _: usage._replace(free=50_000_000))
    code, told = asked(filled, "--offline")
    assert (code, told["disk"][0]) == (74, "FAULT")


def test_a_secret_that_its_group_can_read_is_told(filled, asked):
    secret = filled.parent / "mail.password"
    secret.write_text("canary-41\n")
    secret.chmod(0o640)
    _with(filled, _mail(2525) + 'user = "farm"\npassword_file = "mail.password"\n')
    _, told = asked(filled, "--offline")
    assert told["secrets"][0] == "LOOK"
    assert "chmod 600" in told["secrets"][1]
    assert "canary" not in str(told)
    secret.chmod(0o600)
    assert asked(filled, "--offline")[1]["secrets"][0] == "OK"


def test_a_mail_server_and_a_gateway_are_reached_and_nothing_is_sent(filled, asked, service):
    with open_postbox() as box:
        _with(filled, _mail(box.mail_port) + f'[sms]\nurl = "{box.sms_url}"\n')
        _with_service(filled, service())
        code, told = asked(filled)
    assert code == 0
    assert told["mail"] == (
        "OK",
        f"127.0.0.1:{box.mail_port}: connected, no login set, nothing sent",
    )
    assert told["texts"][0] == "OK"
    assert (box.mails, box.texts) == ([], [])


def test_servers_that_are_gone_or_silent_are_faults_of_their_own(filled, asked, monkeypatch):
    monkeypatch.setattr(doctor_network, "ANSWER_S", 0.5)
    with _silent() as quiet, _silent() as never:
        _with(filled, _mail(quiet) + '[sms]\nurl = "http://127.0.0.1:1/"\n')
        _with_service(filled, f"http://127.0.0.1:{never}")
        code, told = asked(filled)
    assert code == 4
    assert told["mail"][0] == told["texts"][0] == told["forecast nws"][0] == "FAULT"
    assert told["records"][0] == "OK"


@pytest.mark.parametrize(
    ("off", "word", "code"),
    [
        pytest.param(timedelta(0), "OK", 0, id="agrees"),
        pytest.param(timedelta(minutes=3), "LOOK", 0, id="three minutes"),
        pytest.param(timedelta(minutes=-30), "FAULT", 78, id="half an hour"),
    ],
)
def test_the_clock_is_held_beside_the_weather_service(filled, asked, service, off, word, code):
    _with_service(filled, service(off))
    told_code, told = asked(filled)
    assert (told["forecast nws"][0], told_code) == (word, code)


@pytest.mark.parametrize("status", [403, 503])
def test_a_weather_service_that_refuses_is_a_fault(filled, asked, service, status):
    _with_service(filled, service(status=status))
    code, told = asked(filled)
    assert code == 69
    assert f"answers {status}" in told["forecast nws"][1]


def _with_service(config: Path, address: str) -> None:
    text = config.read_text("utf-8")
    config.write_text(text.replace("[forecast]\n", f'[forecast]\naddress = "{address}"\n'), "utf-8")


@contextmanager
def _silent() -> Iterator[int]:
    """A server that takes connections and says nothing."""
    with socket.create_server(("127.0.0.1", 0)) as server:
        yield server.getsockname()[1]


@pytest.fixture
def service() -> Iterator[Callable[..., str]]:
    """Start a weather service whose clock is off, and give its address."""
    servers = []

    def start(off: timedelta = timedelta(0), status: int = 200) -> str:
        class Answers(BaseHTTPRequestHandler):
            def do_GET(self) -> None:
                self.send_response(status)
                self.send_header("Content-Length", "0")
                self.end_headers()

            def date_time_string(self, timestamp: float | None = None) -> str:
                theirs = datetime.now(UTC) - off
                return theirs.strftime("%a, %d %b %Y %H:%M:%S GMT")

            def log_message(self, *_: object) -> None:
                """Say nothing."""

        server = HTTPServer(("127.0.0.1", 0), Answers)
        servers.append(server)
        threading.Thread(target=server.serve_forever, daemon=True).start()
        return f"http://127.0.0.1:{server.server_port}"

    yield start
    for server in servers:
        server.shutdown()
        server.server_close()


@pytest.mark.parametrize(
    ("kind", "outcome", "code", "check", "word", "words"),
    [
        ("clock", "agrees", 0, "clock of others", "OK", "agreed with it on Tue 2026-10-06 06:00"),
        ("clock", "wrong -1440", 78, "clock of others", "FAULT", "it was 24 hours behind"),
        (
            "clock",
            "doubt +40",
            0,
            "clock of others",
            "LOOK",
            "40 minutes ahead, by the time of one",
        ),
        ("ahead", "sent", 0, "fetched ahead", "OK", "for the morning of 2026-10-06"),
        ("ahead", "not_sent", 3, "fetched ahead", "LOOK", "not all fields"),
        ("ahead", "not_sent", 69, "fetched ahead", "LOOK", "no field;"),
    ],
)
def test_what_the_worker_heard_and_fetched_is_told(
    filled, asked, kind, outcome, code, check, word, words
):
    with open_stores(DATABASE, filled.parent) as stores:
        stores.runs.keep(kind, date(2026, 10, 6), code, outcome, NOW)
    gravest, told = asked(filled, "--offline")

    assert told[check][0] == word
    assert words in told[check][1]
    assert gravest == (78 if word == "FAULT" else 0)
