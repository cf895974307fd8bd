"""A farm whose mornings are made by processes that are killed, and what must be true of it."""

import json
import shutil
import signal
import sqlite3
import subprocess
import sys
from contextlib import closing
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

from storage.delivery import Delivery
from storage.stores import open_stores
from tests.acceptance.feed_farm import write_feed_farm
from tests.reliability.postroom import Postroom

HERE = Path(__file__).resolve().parent
HOUSE = HERE.parent.parent
#: 6:00:05 on the farm's clock, Tuesday 6 October 2026.
START_UTC = datetime(2026, 10, 6, 11, 0, 5, tzinfo=UTC)
TUESDAY = date(2026, 10, 6)


class Zygote:
    """The process that makes the copies."""

    def __init__(self) -> None:
        self._process = subprocess.Popen(
            [sys.executable, str(HERE / "zygote.py")],
            cwd=HOUSE,
            env={"PYTHONPATH": str(HOUSE), "PATH": "/usr/bin:/bin", "TZ": "UTC"},
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )

    def start(self, **told: Any) -> int:
        """Start a copy; its process id."""
        return int(self._ask(told)["pid"])

    def wait(self, pid: int) -> int:
        """The exit code of a copy, below 0 where a signal ended it."""
        return int(self._ask({"what": "wait", "pid": pid})["status"])

    def run(self, **told: Any) -> int:
        """Start a copy and wait for its end."""
        return self.wait(self.start(**told))

    def close(self) -> None:
        """End it."""
        assert self._process.stdin is not None
        self._process.stdin.close()
        self._process.wait(10)
        assert self._process.stdout is not None
        self._process.stdout.close()

    def _ask(self, told: dict[str, Any]) -> dict[str, Any]:
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._process.stdin.write(json.dumps(told) + "\n")
        self._process.stdin.flush()
        answer: dict[str, Any] = json.loads(self._process.stdout.readline())
        return answer


def write_mill_farm(folder: Path, room: Postroom, people: int) -> Path:
    """A farm of three fields with ``people`` readers, who get mails and some texts too."""
    write_feed_farm(folder)
    config = folder / "farm.toml"
    head, _, rest = config.read_text().partition("[[people]]")
    readers = "".join(
        f'[[people]]\nid = "p{n}"\nname = "Reader {n}"\n'
        f'role = "{"operator" if n == 0 else "consultant"}"\nemail = "p{n}@example.org"\n'
        + (f'phone = "+1202555{100 + n:04d}"\n' if n % 2 == 0 else "")
        for n in range(people)
    )
    channels = f"""
[mail]
host = "127.0.0.1"
port = {room.mail_port}
security = "plain"
sender = "digest@feedfarm.example.org"

[sms]
url = "{room.sms_url}"
consent_needed = false
body = {{to = "{{to}}", text = "{{text}}", reference = "{{reference}}"}}
"""
    config.write_text(head + readers + "[[rigs]]" + rest.partition("[[rigs]]")[2] + channels)
    return folder


@dataclass
class Mill:
    """One farm in a folder of its own."""

    folder: Path
    room: Postroom
    zygote: Zygote
    people: int
    faults: list[str] = field(default_factory=list)

    @property
    def config(self) -> str:
        return str(self.folder / "farm.toml")

    @property
    def wanted(self) -> set[str]:
        """Everybody who must hear, by channel."""
        mails = {f"mail p{n}@example.org" for n in range(self.people)}
        return mails | {f"sms +1202555{100 + n:04d}" for n in range(0, self.people, 2)}

    def order(self, what: str = "tick", at: datetime = START_UTC, **more: Any) -> dict[str, Any]:
        """An order to the zygote for this farm."""
        log = str(self.folder / "log.txt")
        return {"what": what, "config": self.config, "at": at.isoformat(), "log": log, **more}

    def run(self, what: str = "tick", at: datetime = START_UTC, **more: Any) -> int:
        """Run a copy to its end."""
        return self.zygote.run(**self.order(what, at, **more))

    def rows(self, on: date = TUESDAY) -> tuple[Delivery, ...]:
        """The outbox of a day, alarms aside."""
        with open_stores("warmspell.sqlite3", self.folder) as stores:
            rows = stores.deliveries.of_day(on)
        return tuple(row for row in rows if row.kind.startswith("morning-"))

    def log(self) -> str:
        """What the processes said."""
        path = self.folder / "log.txt"
        return path.read_text() if path.exists() else ""

    def broken(self, on: date = TUESDAY) -> list[str]:
        """What is not as it must be once a day is settled."""
        rows = {f"{row.channel} {row.person_id}": row for row in self.rows(on)}
        flagged = {row.message_id for row in rows.values() if row.in_doubt}
        copies = {
            who: [one for one in of_one if on.isoformat() in one[0] and ".morning." in one[0]]
            for who, of_one in self.room.copies().items()
        }
        return [
            *(f"{who} got nothing" for who in self.wanted if not copies.get(who)),
            *_repeats(copies, flagged),
            *(f"{who} is {row.state}" for who, row in rows.items() if row.state != "sent"),
            *([] if len(rows) == len(self.wanted) else [f"{len(rows)} messages in the outbox"]),
            *self.half_kept(on),
        ]

    def half_kept(self, on: date = TUESDAY) -> list[str]:
        """What of a decision is kept without the rest of it, and whether the file is whole."""
        found = []
        with closing(sqlite3.connect(self.folder / "warmspell.sqlite3")) as connection:
            for (told,) in connection.execute("PRAGMA integrity_check"):
                found += [] if told == "ok" else [f"database: {told}"]
            asked = "SELECT count(*) FROM deliveries WHERE kind LIKE 'morning-%' AND local_date = ?"
            (planned,) = connection.execute(asked, (on.isoformat(),)).fetchone()
            (plans,) = connection.execute(
                "SELECT count(*) FROM plans WHERE kind = 'morning' AND local_date = ? AND made_utc"
                " IN (SELECT planned_utc FROM deliveries WHERE local_date = ?)",
                (on.isoformat(), on.isoformat()),
            ).fetchone()
        if planned not in (0, len(self.wanted)):
            found.append(f"{planned} of {len(self.wanted)} messages planned")
        if planned and not plans:
            found.append("messages without the plan they tell of")
        return found


def _repeats(copies: dict[str, list[tuple[str, bytes]]], flagged: set[str]) -> list[str]:
    found = []
    for who, of_one in copies.items():
        names = {name for name, _ in of_one}
        if len(names) > 1 or len({body for _, body in of_one}) > 1:
            found.append(f"{who} got different messages: {sorted(names)}")
        if len(of_one) > 1 and not names <= flagged:
            found.append(f"{who} got {len(of_one)} copies and nothing is flagged")
    return found


def copy_of(made: Path, folder: Path) -> Path:
    """A fresh copy of a farm."""
    return Path(shutil.copytree(made, folder))


def killed(status: int) -> bool:
    """Whether a copy was ended by SIGKILL."""
    return status == -signal.SIGKILL
