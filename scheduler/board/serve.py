"""The board as a server of this machine."""

import logging
import socket
from collections.abc import Callable
from datetime import datetime
from typing import TYPE_CHECKING

import uvicorn

from scheduler.board.desk import desk_of
from scheduler.data_error import DataError
from scheduler.speaking import talk
from web.app import make_app
from web.enter import OneTimeLink

if TYPE_CHECKING:
    from scheduler.opening import OpenFarm

#: Time open answers get to finish when the board is stopped [s].
STOPPING_S = 5


def serve_board(farm: "OpenFarm", clock: Callable[[], datetime], port: int | None) -> None:
    """Listen until stopped.

    Raises
    ------
    DataError
        Somebody listens there already.
    """
    settings = farm.config.settings.board
    place = (settings.host, settings.port if port is None else port)
    link = OneTimeLink()
    app = make_app(desk_of(farm, clock), settings, link=link)
    with _listening(*place) as ear:
        talk(f"{farm.config.settings.farm.name}: open this link once in your browser:")
        talk(f"  http://{place[0]}:{place[1]}/enter/{link.secret}")
        talk("Ctrl-C stops the board.")
        config = uvicorn.Config(
            app,
            log_level=logging.WARNING,
            access_log=False,
            server_header=False,
            timeout_graceful_shutdown=STOPPING_S,
        )
        uvicorn.Server(config).run(sockets=[ear])


def _listening(host: str, port: int) -> socket.socket:
    ear = socket.socket(socket.AF_INET6 if ":" in host else socket.AF_INET)
    ear.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        ear.bind((host, port))
    except OSError as fault:
        ear.close()
        raise DataError(
            [f"board: {host} port {port}: {fault.strerror}; name another with --port"]
        ) from None
    return ear
