"""A process with the whole program loaded, of which each order makes a copy to be killed.

Orders are lines of JSON on stdin, answers lines of JSON on stdout. Nothing of the tests is
imported here but what lies beside this file.
"""

import json
import os
import socket
import sys
import threading
import time
import traceback
from datetime import datetime
from io import FileIO, TextIOWrapper
from pathlib import Path
from typing import Any

import failpoints

import scheduler.hand_over
import scheduler.one_morning
import scheduler.worker_lock
from farm.records import Visit
from scheduler.commands import run
from scheduler.opening import open_farm
from scheduler.workers import worker_of
from storage.delivery_log import DeliveryLog, deliveries, insert
from storage.delivery_log import _planned as planned_row
from storage.lease_store import LeaseStore
from storage.stores import open_stores

LOADED = (scheduler.one_morning, open_stores)


def tick(told: dict[str, Any]) -> None:
    """A worker that ticks until the day is settled, at the moment it is told."""
    moment = datetime.fromisoformat(told["at"])
    with open_farm(Path(told["config"])) as farm:
        worker = worker_of(farm, lambda: moment)
        for _ in range(told.get("ticks", 1)):
            worker.tick()
            today = moment.astimezone(farm.zone).date()
            outbox = farm.stores.deliveries
            if farm.stores.runs.sent_on(today) and not outbox.any_due(moment):
                break
            time.sleep(told.get("pause_s", 0.0))


def scout(told: dict[str, Any]) -> None:
    """Adds visits and says each aloud once it is kept."""
    from datetime import UTC
    from uuid import uuid4

    now = datetime(2026, 10, 6, tzinfo=UTC)
    out = os.open(told["said"], os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o644)
    with open_stores(told["database"], ".") as stores:
        for _ in range(told["times"]):
            visits = [Visit(uuid=uuid4(), field_id="f", observed_utc=now) for _ in range(3)]
            stores.visits.add(visits, now)
            os.write(out, "".join(f"{one.uuid}\n" for one in visits).encode())


def without(parts: list[str]) -> None:
    """Take away some of what keeps a morning from being sent twice."""
    if "lock" in parts:
        scheduler.worker_lock.fcntl.flock = lambda *_: None
    if "lease" in parts:
        LeaseStore.take = lambda *_: ""
        LeaseStore.extend = lambda *_: True
        LeaseStore.give_back = lambda *_: None
    if "key" in parts:

        def plan_blindly(self: DeliveryLog, messages: Any, now: datetime) -> int:
            rows = [planned_row(message, now) for message in messages]
            if rows:
                with self._database.write() as connection:
                    connection.execute(insert(deliveries), rows)
            return len(rows)

        DeliveryLog.plan = plan_blindly


def child(told: dict[str, Any]) -> int:
    if told.get("deaf"):
        # Whoever read what this process says has gone away.
        reader, log = os.pipe()
        os.close(reader)
    else:
        log = os.open(told["log"], os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o644)
    for number in (1, 2):
        os.dup2(log, number)
    sys.stdout, sys.stderr = (
        TextIOWrapper(FileIO(number, "w", closefd=False)) for number in (1, 2)
    )
    if not told.get("lanes"):
        scheduler.hand_over.LANES.clear()
    without(told.get("without", []))
    if told.get("machine"):
        socket.gethostname = lambda: told["machine"]
    points = failpoints.install(told.get("point", 0), told.get("mode", "kill"))
    code = 0
    if told["what"] == "work":
        code = run(["work", "--config", told["config"]])
    elif told["what"] == "morning":
        code = run(["morning", "--config", told["config"], *told["more"]])
    elif told["what"] == "undo":
        code = run(["scout", "undo", told["record"], "--config", told["config"]])
    elif told["what"] == "scout":
        scout(told)
    else:
        tick(told)
    if told.get("trail"):
        Path(told["trail"]).write_bytes(json.dumps(points.trail).encode())
    return code


def forked(told: dict[str, Any]) -> int:
    pid = os.fork()
    if pid:
        return pid
    code = 0
    try:
        code = child(told)
    except BaseException:
        traceback.print_exc()
        code = 70
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(code)


def main() -> None:
    assert threading.active_count() == 1, "a copy of a process with threads may hang"
    for line in sys.stdin:
        told = json.loads(line)
        if told["what"] == "wait":
            _, status = os.waitpid(told["pid"], 0)
            answer = {"status": os.waitstatus_to_exitcode(status)}
        else:
            answer = {"pid": forked(told)}
        print(json.dumps(answer), flush=True)


if __name__ == "__main__":
    main()
