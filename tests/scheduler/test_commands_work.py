"""The worker as a process: it starts, it is alone, it stops when it is told to."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

HOUSE = Path(__file__).resolve().parent.parent.parent
ENTRY = "from scheduler.commands import main; main()"


@pytest.fixture
def quiet(farm: Path) -> Path:
    """A farm whose clock stands before its send time, so that a worker only waits."""
    farm.write_text(farm.read_text("utf-8").replace("T11:00:00Z", "T10:00:00Z"), "utf-8")
    return farm


def start(config: Path) -> subprocess.Popen[str]:
    worker = subprocess.Popen(
        [sys.executable, "-c", ENTRY, "work", "--config", str(config)],
        cwd=HOUSE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert worker.stderr is not None
    os.set_blocking(worker.stderr.fileno(), True)
    assert "working, digests go out at 06:00" in worker.stderr.readline()
    return worker


def finish(worker: subprocess.Popen[str]) -> tuple[int, str]:
    worker.send_signal(signal.SIGTERM)
    began = time.monotonic()
    _, said = worker.communicate(timeout=20)
    assert time.monotonic() - began < 10
    return worker.returncode, said


def test_a_worker_stops_when_asked_and_a_second_one_is_sent_away(quiet, warmspell):
    worker = start(quiet)
    try:
        second = warmspell("work", "--config", quiet)
        assert second.code == 75
        assert f"another worker runs for this farm (process {worker.pid})" in second.err
    finally:
        code, said = finish(worker)
    assert code == 0
    assert said.splitlines()[-1] == "stopped"
    assert "Traceback" not in said


def test_a_lock_left_by_a_killed_worker_holds_nobody_up(quiet):
    killed = start(quiet)
    killed.kill()
    killed.communicate(timeout=20)
    code, _ = finish(start(quiet))
    assert code == 0
