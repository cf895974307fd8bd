"""The board of a big farm: readers of the order, and scouts who send visits, all at once.

    python -m benchmarks.board [--fields 5000] [--cells 1250] [--users 20] [--scouts 50]

Runs a morning, then `warmspell serve` with accounts as a process of its own, and asks it over
real connections. Users ask again half a second after an answer came, scouts send another visit a
second after the one before was acknowledged, as phones do that come back into signal. Prints how
long the first byte took, how large the page is, and what the server took of the processor; the
first look at a new plan, which everybody waits for, is told apart. Ends with 1 where a goal is
missed. On a busy machine the processor's time tells more than the clock's.
"""

import argparse
import json
import os
import shutil
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from uuid import UUID, uuid5

from benchmarks.board_readers import Answers, Asked, all_at_once
from benchmarks.morning import write_in_another_process
from scripts.running_board import Board, board_of

#: Goals: first byte of the order [s], size of the order [bytes], wait of a scout [s].
ORDER_P95_S, ORDER_BYTES, SCOUT_P95_S = 0.300, 500_000, 0.250
#: How long a user looks before they ask again [s].
LOOKS_S = 0.5
#: How long a phone takes to send its next visit [s].
SENDS_S = 1.0
SPACE = UUID("0d9a5b0f-2f51-4f1c-8f0e-61f0a3a1c3d7")
NAME = "board.example.org"


def main() -> None:
    """Write the farm, run its morning, open the board, ask, print and judge."""
    told = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    told.add_argument("--fields", type=int, default=5000)
    told.add_argument("--cells", type=int, default=1250)
    told.add_argument("--users", type=int, default=20)
    told.add_argument("--scouts", type=int, default=50)
    told.add_argument("--each", type=int, default=20, help="pages and visits of each")
    asked = told.parse_args()
    folder = Path(tempfile.mkdtemp(prefix="warmspell-benchmark-"))
    try:
        missed = _measure(folder, asked)
    finally:
        shutil.rmtree(folder)
    for line in missed:
        print(f"MISSED: {line}")
    sys.exit(1 if missed else 0)


def _measure(folder: Path, asked: argparse.Namespace) -> list[str]:
    write_in_another_process(folder, asked.fields, asked.cells)
    config = folder / "farm.toml"
    with config.open("a", encoding="utf-8") as file:
        file.write(f'\n[board]\naccounts = true\nnames = ["{NAME}"]\n')
    _decide(config)
    return _ask(config, asked)


def _decide(config: Path) -> None:
    from scheduler.morning import decide_morning
    from scheduler.opening import open_farm

    with open_farm(config) as farm:
        run = decide_morning(farm.config, farm.stores, farm.now)
        farm.stores.plans.keep(run.report, run.inputs)


def _ask(config: Path, asked: argparse.Namespace) -> list[str]:
    cookies, field_ids = _let_in(config, asked.users, asked.scouts)
    readers, scouts = cookies[: asked.users], cookies[asked.users :]
    with board_of(config) as board:
        people = [_reader(one) for one in readers]
        first = all_at_once(board.address, people, 1, 0.0)
        longest_s = max(first.waited_s)
        print(f"{asked.fields} fields; the first look after a start: {longest_s:.1f} s at most")
        seen = _asked(board, f"{asked.users} users, the order", people, asked.each, LOOKS_S)
        print(f"    the order is {seen.most_bytes / 1000:.0f} kB")
        sending = [_scout(one, number, field_ids) for number, one in enumerate(scouts)]
        sent = _asked(board, f"{asked.scouts} scouts, a visit", sending, asked.each, SENDS_S)
    return [
        *(seen.faults[:3]),
        *(sent.faults[:3]),
        *_over("first byte of the order", seen.share_s(95), ORDER_P95_S, "s"),
        *_over("wait of a scout", sent.share_s(95), SCOUT_P95_S, "s"),
        *_over("size of the order", seen.most_bytes, ORDER_BYTES, "bytes"),
    ]


def _let_in(config: Path, users: int, scouts: int) -> tuple[list[str], list[str]]:
    """Sessions of everybody: their cookies, users first, and the fields' ids."""
    from farm.account import Account
    from farm.board_role import BoardRole
    from scheduler.opening import open_farm
    from web.sessions import key_of, new_secret

    cookies = []
    with open_farm(config) as farm:
        growers = [one.id for one in farm.config.settings.growers]
        for number in range(users + scouts):
            # Every second user is a grower, who has an order of their own.
            role: BoardRole = "dispatcher" if number % 2 else "grower"
            role = role if number < users else "scout"
            own = (growers[number % len(growers)],) if role == "grower" else ()
            account = Account(
                name=f"reader-{number}",
                role=role,
                grower_ids=own,
                password_hash="nobody logs in with this one",
                added_utc=farm.now,
            )
            farm.stores.accounts.add(account)
            secret = new_secret()
            farm.stores.sessions.begin(key_of(secret), account.name, farm.now)
            cookies.append(f"__Host-warmspell={secret}")
        return cookies, [one.id for one in farm.config.fields]


def _reader(cookie: str) -> Callable[[int], Asked]:
    headers = {"host": NAME, "cookie": cookie}
    return lambda turn: ("GET", "/", None, headers)


def _scout(cookie: str, number: int, field_ids: list[str]) -> Callable[[int], Asked]:
    from web.sessions import form_key

    headers = {
        "host": NAME,
        "cookie": cookie,
        "content-type": "application/json",
        "x-form-key": form_key(cookie.partition("=")[2]),
    }

    def next_visit(turn: int) -> Asked:
        visit = {
            "uuid": str(uuid5(SPACE, f"{number} {turn}")),
            "field_id": field_ids[(number * 97 + turn) % len(field_ids)],
            "observed": "2026-10-06T05:00:00-05:00",
            "plant_nodes": "3 4 3.5 2 3 4 5 3 3 4 2 3",
            "percent_open": "64",
            "note": "skips near the gate",
        }
        return "POST", "/scout/visits", json.dumps(visit).encode(), headers

    return next_visit


def _asked(
    board: Board, what: str, people: list[Callable[[int], Asked]], each: int, pause_s: float
) -> Answers:
    before = _processor_s(board.process_id)
    told = all_at_once(board.address, people, each, pause_s)
    took_ms = 1000 * (_processor_s(board.process_id) - before) / len(told.waited_s)
    half, most = 1000 * told.share_s(50), 1000 * told.share_s(95)
    print(
        f"    {what}: {len(told.waited_s)} times, half within {half:.0f} ms, 95 in 100 within "
        f"{most:.0f} ms; {took_ms:.1f} ms of the server's processor each"
    )
    return told


def _processor_s(process_id: int) -> float:
    """What a process has taken of the processor so far [s], where the system tells it."""
    try:
        told = Path(f"/proc/{process_id}/stat").read_text("ascii").rpartition(")")[2].split()
    except OSError:
        return float("nan")
    return (int(told[11]) + int(told[12])) / os.sysconf("SC_CLK_TCK")


def _over(what: str, got: float, most: float, unit: str) -> list[str]:
    return [f"{what}: {got:.3g} {unit}, wanted {most:g}"] if got > most else []


if __name__ == "__main__":
    main()
