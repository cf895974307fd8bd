"""The board as a server of this machine."""

import logging
import socket
import threading
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

import uvicorn

from scheduler.board.desk import desk_of
from scheduler.board.impatience import ImpatientProtocol
from scheduler.clock import now_utc
from scheduler.data_error import DataError
from scheduler.opening import open_farm
from scheduler.speaking import talk
from web.account_sessions import AccountSessions
from web.app import make_app
from web.enter import OneTimeLink

if TYPE_CHECKING:
    from fastapi import FastAPI

    from scheduler.opening import OpenFarm
    from web.desk import Desk
    from web.settings import BoardSettings

log = logging.getLogger("warmspell.board")

#: Time open answers get to finish when the board is stopped [s].
STOPPING_S = 5
#: How long a connection is held for the next request [s], as servers before it like to.
KEEP_S = 15
#: Most connections at once; who comes after is told to try later.
MOST_AT_ONCE = 500
#: Longest head of a request [bytes].
HEAD_MAX_BYTES = 32_768


def serve_farm(config_path: Path, port: int | None) -> None:
    """Open a farm and listen until stopped; see `serve_board`."""
    with open_farm(config_path) as farm:
        replay = farm.config.settings.replay

        def clock() -> datetime:
            return now_utc(None, replay.at if replay else None, farm.zone)

        serve_board(farm, clock, port)


def serve_board(farm: "OpenFarm", clock: Callable[[], datetime], port: int | None) -> None:
    """Listen until stopped.

    Raises
    ------
    DataError
        Somebody listens there already, or others could come in without an account.
    """
    settings = farm.config.settings.board
    place = (settings.host, settings.port if port is None else port)
    _refuse_open_door(settings)
    desk = desk_of(farm, clock)
    if settings.accounts:
        accounts = farm.stores.accounts
        keys = AccountSessions(accounts, farm.stores.sessions)
        names = _names_of_links(farm)
        # Whoever reaches it from elsewhere does so through a server that speaks TLS.
        app = make_app(desk, settings, accounts=accounts, sessions=keys, secure=True, names=names)
        called = ", ".join((*settings.names, *names)) or "no name but this machine's; see [board]"
        said = [f"board at {place[0]} port {place[1]}, for people with an account, as {called}"]
    else:
        link = OneTimeLink()
        app = make_app(desk, settings, link=link)
        said = [
            "open this link once in your browser:",
            f"  http://{place[0]}:{place[1]}/enter/{link.secret}",
        ]
    with _listening(*place) as ear:
        talk(f"{farm.config.settings.farm.name}: {said[0]}")
        for line in (*said[1:], "Ctrl-C stops the board."):
            talk(line)
        # The plan of a big farm takes long to read; whoever looks first need not wait for it.
        threading.Thread(target=_read_ahead, args=(desk,), daemon=True).start()
        uvicorn.Server(_listening_to(app)).run(sockets=[ear])


def _read_ahead(desk: "Desk") -> None:
    try:
        report = desk.mornings.latest()
        if report is not None:
            desk.mornings.since(report)
    except Exception as fault:
        # Whoever looks is told what is wrong; here is nobody to tell.
        log.info("the plan could not be read ahead: %s", type(fault).__name__)


def _listening_to(app: "FastAPI") -> uvicorn.Config:
    return uvicorn.Config(
        app,
        http=ImpatientProtocol,
        ws="none",
        log_level=logging.WARNING,
        access_log=False,
        server_header=False,
        limit_concurrency=MOST_AT_ONCE,
        h11_max_incomplete_event_size=HEAD_MAX_BYTES,
        timeout_keep_alive=KEEP_S,
        timeout_graceful_shutdown=STOPPING_S,
    )


def _names_of_links(farm: "OpenFarm") -> tuple[str, ...]:
    """What links in mails call the board."""
    links = farm.config.settings.links
    return () if links is None else (urlsplit(links.base_url).hostname or "",)


def _refuse_open_door(settings: "BoardSettings") -> None:
    """Nobody from elsewhere comes in without an account."""
    here = settings.host in ("localhost", "::1") or settings.host.startswith("127.")
    if not here and not settings.accounts:
        raise DataError(
            [
                f"board: host: got {settings.host}, which others can reach, without accounts; "
                "set accounts = true under [board], or leave host out"
            ]
        )


def _listening(host: str, port: int) -> socket.socket:
    ear = socket.socket(socket.AF_INET6 if ":" in host else socket.AF_INET)
    ear.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        ear.bind((host, port))
        # Whoever opens the link at once waits a moment instead of being turned away.
        ear.listen()
    except OSError as fault:
        ear.close()
        raise DataError(
            [f"board: {host} port {port}: {fault.strerror}; name another with --port"]
        ) from None
    return ear
