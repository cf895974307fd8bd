"""Who watches is called when everybody was told, and not otherwise; figures are written whole."""

import socket
import threading
import time
from dataclasses import replace
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

import pytest

from scheduler.metrics import exposition, figures, write_whole
from scheduler.opening import open_farm
from scheduler.ping import ping
from scheduler.reconciled import not_told
from scheduler.watch import Watch
from storage.delivery_counts import standings
from tests.acceptance.postbox import open_postbox


class Watcher:
    """Somebody who is called, and answers as told, after a wait."""

    def __init__(self) -> None:
        self.calls, self.status, self.wait_s = [], 200, 0.0
        watcher = self

        class Answer(BaseHTTPRequestHandler):
            def do_GET(self) -> None:
                watcher.calls.append(self.path)
                time.sleep(watcher.wait_s)
                self.send_response(watcher.status)
                self.send_header("Location", "/elsewhere")
                self.end_headers()

            def log_message(self, *_: object) -> None:
                """Quiet."""

        self.server = ThreadingHTTPServer(("127.0.0.1", 0), Answer)
        self.url = f"http://127.0.0.1:{self.server.server_port}/s3cret-77"
        threading.Thread(target=self.server.serve_forever, daemon=True).start()


@pytest.fixture
def watcher():
    made = Watcher()
    yield made
    made.server.shutdown()
    made.server.server_close()


@pytest.fixture
def watched(farm, watcher, monkeypatch):
    """The starter farm with a mail server, no forecast, a watcher and a file for figures."""
    monkeypatch.setenv("GIN_PING", watcher.url)
    (farm.parent / "answers").mkdir()
    text = farm.read_text().replace('source = "nws"', 'source = "folder"\npath = "answers"')
    with open_postbox() as box:
        farm.write_text(
            text
            + f'\n[mail]\nhost = "127.0.0.1"\nport = {box.mail_port}\nsecurity = "plain"\n'
            + 'sender = "digest@gin.example.org"\n'
            + '\n[watch]\nping_url_env = "GIN_PING"\nmetrics_file = "warmspell.prom"\n'
        )
        yield farm, box, watcher


def figures_of(farm):
    lines = (farm.parent / "warmspell.prom").read_text().splitlines()
    return dict(line.rsplit(" ", 1) for line in lines if not line.startswith("#"))


def test_a_morning_told_whole_calls_once_and_writes_its_figures(warmspell, watched):
    farm, box, watcher = watched
    assert warmspell("morning", "--config", farm).code == 69

    assert (len(box.mails), watcher.calls) == (3, ["/s3cret-77"])
    told = figures_of(farm)
    assert told["warmspell_morning_told_whole"] == "1"
    assert told['warmspell_messages{channel="mail",state="sent"}'] == "3"
    counted = [int(value) for name, value in told.items() if name.startswith("warmspell_fields")]
    with open_farm(farm) as opened:
        assert sum(counted) == len(opened.config.fields)
        # 2026-10-06 11:00 UTC, the farm's fixed clock.
        assert told["warmspell_worker_seen_timestamp_seconds"] == "1791284400"


def test_one_mail_that_was_not_sent_keeps_the_call_back_until_it_is(warmspell, watched):
    farm, box, watcher = watched
    box.refuse = {"ada@example.com"}
    warmspell("morning", "--config", farm)

    assert watcher.calls == []
    assert figures_of(farm)["warmspell_morning_told_whole"] == "0"


def test_a_mail_server_that_is_away_keeps_the_call_back(warmspell, watched):
    farm, box, watcher = watched
    text = farm.read_text()
    farm.write_text(text.replace(f"port = {box.mail_port}", "port = 9"))
    warmspell("morning", "--config", farm)
    assert watcher.calls == []

    farm.write_text(text)
    warmspell("morning", "--config", farm, "--at", "2026-10-06T06:40")
    assert watcher.calls == ["/s3cret-77"]


def test_a_reader_who_stopped_keeps_no_call_back(warmspell, watched):
    farm, box, watcher = watched
    warmspell("people", "stop", "ada", "--by", "mail", "--how", "by phone", "--config", farm)
    warmspell("morning", "--config", farm)

    assert (len(box.mails), len(watcher.calls)) == (2, 1)


@pytest.mark.fault("S20")
@pytest.mark.parametrize("status", [500, 404, 302])
def test_a_watcher_that_refuses_costs_nothing_but_a_line(warmspell, watched, status, caplog):
    farm, box, watcher = watched
    watcher.status = status
    told = warmspell("morning", "--config", farm)

    assert (told.code, len(box.mails)) == (69, 3)
    assert f"answered {status}" in caplog.text
    assert "s3cret" not in caplog.text + told.err
    assert watcher.calls == ["/s3cret-77"]


def test_the_worker_calls_once_a_day_however_often_it_looks(warmspell, watched):
    farm, _, watcher = watched
    with open_farm(farm) as opened:
        watch = Watch()
        watch.look(opened)
        assert watcher.calls == []
    warmspell("morning", "--config", farm)
    with open_farm(farm) as opened:
        for _ in range(5):
            watch.look(opened)
    assert len(watcher.calls) == 2


def test_a_watcher_that_is_down_is_told_once_and_called_again(warmspell, watched, caplog):
    farm, _, watcher = watched
    watcher.status = 503
    warmspell("morning", "--config", farm)
    caplog.clear()
    watch = Watch()
    with open_farm(farm) as opened:
        for _ in range(3):
            watch.look(opened)
        assert caplog.text.count("the call to the watch failed (answered 503)") == 1
        watcher.status = 200
        watch.look(opened)
        watch.look(opened)
    assert len(watcher.calls) == 5


def test_a_morning_of_the_past_calls_nobody(warmspell, watched):
    farm, _, watcher = watched
    warmspell("morning", "--config", farm, "--at", "2026-10-05T06:00")

    assert watcher.calls == []


def test_a_call_takes_no_longer_than_its_limit(watcher):
    watcher.wait_s = 3.0
    began = time.perf_counter()

    assert ping(watcher.url, 0.3) != ""
    assert time.perf_counter() - began < 1.0


@pytest.mark.fault("S20")
def test_an_answer_that_drips_holds_nothing_up():
    """Each byte comes in time, the whole never does."""
    stop = threading.Event()
    with socket.create_server(("127.0.0.1", 0)) as server:

        def drip() -> None:
            connection, _ = server.accept()
            with connection:
                for byte in b"HTTP/1.1 200 OK\r\n" + b"X" * 1000:
                    if stop.wait(0.1):
                        return
                    connection.sendall(bytes([byte]))

        thread = threading.Thread(target=drip)
        thread.start()
        began = time.perf_counter()
        told = ping(f"http://127.0.0.1:{server.getsockname()[1]}/x", 0.5)
        took_s = time.perf_counter() - began
        stop.set()
        thread.join()
    assert told == "no answer within 0.5 s"
    assert took_s < 1.0


@pytest.mark.parametrize("url", ["http://127.0.0.1:9/x", "nonsense", "file:///etc/passwd", ""])
def test_a_call_that_cannot_be_made_is_a_word_not_an_error(url):
    assert ping(url, 2.0) != ""


def test_anything_wrong_with_the_watch_is_a_line(watched, caplog, monkeypatch):
    from storage.run_log import RunLog

    def broken(*_: object) -> bool:
        raise OSError("disk s3cret")

    monkeypatch.setattr(RunLog, "sent_on", broken)
    with open_farm(watched[0]) as opened:
        Watch().look(opened)
    assert "the watch was not told: OSError" in caplog.text
    assert "s3cret" not in caplog.text


def test_a_folder_that_is_not_there_costs_the_figures_alone(warmspell, watched, caplog):
    farm, box, watcher = watched
    farm.write_text(farm.read_text().replace("warmspell.prom", "gone/warmspell.prom"))
    warmspell("morning", "--config", farm)

    assert (len(box.mails), len(watcher.calls)) == (3, 1)
    assert "figures were not written" in caplog.text


def test_a_field_that_went_missing_is_seen(warmspell, watched):
    farm, *_ = watched
    warmspell("morning", "--config", farm)
    with open_farm(farm) as opened:
        rows = standings(opened.stores.database, opened.today)
        report = opened.stores.plans.on(opened.today)
        assert not_told(opened, report, rows) == ()
        one_more = opened.config.fields[0].model_copy(update={"id": "new"})
        more = replace(opened.config, fields=(*opened.config.fields, one_more))
        assert not_told(replace(opened, config=more), report, rows) != ()
        assert not_told(opened, report.model_copy(update={"fields": report.fields[1:]}), rows) != ()
        assert not_told(opened, None, rows) != ()
        assert not_told(opened, report, rows[1:]) == ("messages: 1 readers have none",)
        failed = ((*rows[0][:3], "failed"), *rows[1:])
        assert not_told(opened, report, failed) == ("messages: 1 not sent",)


def test_figures_are_in_the_format_agents_read(report):
    from prometheus_client.parser import text_string_to_metric_families

    rows = (("ana", "mail", "morning-mail", "sent"), ("bea", "sms", "morning-sms", "failed"))
    text = exposition(figures(report, rows, told_whole=False, now=report.run.made_utc))
    families = {one.name: one for one in text_string_to_metric_families(text)}

    assert all(name.startswith("warmspell_") for name in families)
    assert all(one.type == "gauge" and one.documentation for one in families.values())
    sent = {
        (one.labels["channel"], one.labels["state"]): one.value
        for one in families["warmspell_messages"].samples
    }
    assert (sent["mail", "sent"], sent["sms", "failed"], sent["mail", "failed"]) == (1, 1, 0)
    assert sum(one.value for one in families["warmspell_fields"].samples) == len(report.fields)


def test_a_file_of_figures_is_the_old_one_or_the_new_one(tmp_path, monkeypatch):
    path = tmp_path / "w.prom"
    write_whole(path, "old 1\n")

    def torn(*_: object) -> None:
        raise OSError("no")

    monkeypatch.setattr("os.replace", torn)
    with pytest.raises(OSError, match="no"):
        write_whole(path, "new 2\n")
    assert path.read_text() == "old 1\n"
    assert [one.name for one in tmp_path.iterdir()] == ["w.prom"]
    assert path.stat().st_mode & 0o777 == 0o644
