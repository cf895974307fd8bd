"""`warmspell serve` as a process of its own on a free port of loopback."""

import re
import socket
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass, field
from pathlib import Path

#: Longest it may take until it listens [s]; machines that do much else are slow.
START_S = 90


@dataclass
class Board:
    """Where a board answers, its one-time link, and what it said."""

    address: str = ""
    link: str = ""
    said: list[str] = field(default_factory=list)
    process_id: int = 0


def free_port() -> int:
    """A port of loopback that nobody listens on."""
    with socket.socket() as ear:
        ear.bind(("127.0.0.1", 0))
        port: int = ear.getsockname()[1]
        return port


def board_of(config_path: Path, port: int | None = None) -> AbstractContextManager[Board]:
    """A board of a farm, while it runs. Its one-time link is not used yet."""
    return board_by("serve", "--config", str(config_path), port=port)


@contextmanager
def board_by(*command: str, port: int | None = None) -> Iterator[Board]:
    """A board that a command of ours opens, while it runs."""
    port = port or free_port()
    program = "from scheduler.commands import main; main()"
    process = subprocess.Popen(
        [sys.executable, "-c", program, *command, "--port", str(port)],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
    )
    board, ready = Board(f"http://127.0.0.1:{port}", process_id=process.pid), threading.Event()
    listener = threading.Thread(target=_listen, args=(process, board, ready), daemon=True)
    listener.start()
    try:
        if not ready.wait(START_S) or process.poll() is not None:
            raise AssertionError(f"the board did not start: {board.said}")
        yield board
    finally:
        process.terminate()
        process.wait(timeout=30)
        listener.join(timeout=5)
        assert process.stderr is not None
        process.stderr.close()


def _listen(process: "subprocess.Popen[str]", board: Board, ready: threading.Event) -> None:
    """Keep what it says, so that it never waits for a reader."""
    assert process.stderr is not None
    for line in process.stderr:
        board.said.append(line.rstrip())
        found = re.search(r"http://\S+/enter/\S+", line)
        if found:
            board.link = found.group()
        if "Ctrl-C" in line:
            ready.set()
    ready.set()
