"""Counts every effect on the world of a process, and fails or ends it at the one it is told.

An effect is a commit, a request, a line to a mail server, or a write to a file. Each has two
points: just before it, and just after it, when its answer is not known to the program yet.
"""

import os
import signal
import smtplib
import sqlite3
from collections.abc import Callable
from pathlib import Path
from typing import Any

import requests
from sqlalchemy.engine.default import DefaultDialect


class Points:
    """``mode`` is "raise", "kill" or "stop", at the ``at``-th point; 0 means none."""

    def __init__(self, at: int, mode: str) -> None:
        self.at, self.mode, self.count = at, mode, 0
        self.trail: list[str] = []

    def passed(self, name: str, fault: Callable[[], Exception]) -> None:
        self.count += 1
        self.trail.append(name)
        if self.count != self.at:
            return
        if self.mode == "raise":
            raise fault()
        os.kill(os.getpid(), signal.SIGKILL if self.mode == "kill" else signal.SIGSTOP)

    def around(self, owner: Any, name: str, told: str, fault: Callable[[], Exception]) -> None:
        """Put a point before and after a function of ``owner``."""
        true = getattr(owner, name)

        def counted(*args: Any, **more: Any) -> Any:
            self.passed(f"before {told}", fault)
            answer = true(*args, **more)
            self.passed(f"after {told}", fault)
            return answer

        setattr(owner, name, counted)


def install(at: int, mode: str) -> Points:
    """Put points around every effect of this process."""
    points = Points(at, mode)
    points.around(
        DefaultDialect, "do_commit", "commit", lambda: sqlite3.OperationalError("disk I/O error")
    )
    points.around(smtplib.SMTP, "send", "mail line", lambda: ConnectionResetError("reset"))
    points.around(
        requests.adapters.HTTPAdapter, "send", "request", lambda: requests.ConnectionError("reset")
    )
    points.around(Path, "write_text", "file", lambda: OSError(28, "no space left on device"))
    points.around(os, "write", "file", lambda: OSError(28, "no space left on device"))
    return points
