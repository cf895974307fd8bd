"""``warmspell work``: the worker that sends each morning's digests."""

import logging
import signal
import sys
import threading
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import click

from scheduler import exit_codes
from scheduler.commands.options import config_option
from scheduler.speaking import talk


@click.command("work", short_help="The worker that sends each morning by itself.")
@config_option
def command(config_path: Path) -> int:
    """Run until stopped, and send each morning's digests once, at the time the config says.

    Started late it catches up; a second one for the same farm ends at once with exit code 75.
    SIGTERM lets the message under way finish and ends with 0.

    \b
    Example:
      warmspell work --config myfarm/farm.toml
    """
    from scheduler.clock import now_utc
    from scheduler.opening import open_farm
    from scheduler.worker import keep_ticking
    from scheduler.worker_lock import AnotherWorkerError, lock_path, only_worker
    from scheduler.workers import worker_of

    _log_to_stderr()
    with open_farm(config_path) as farm:
        settings = farm.config.settings
        replay = settings.replay.at if settings.replay else None

        def clock() -> datetime:
            return now_utc(None, replay, farm.zone)

        stop = threading.Event()
        worker = worker_of(farm, clock, stop)
        for wish in (signal.SIGTERM, signal.SIGINT):
            signal.signal(wish, lambda *_: stop.set())
        try:
            with only_worker(lock_path(farm.config.folder, settings.farm.database)):
                talk(
                    _greeting(settings.farm.name, worker.times.send_at.strftime("%H:%M"), farm.zone)
                )
                if not worker.channels:
                    talk(
                        "the config has no [mail] and no [sms]: mornings are made, nothing is sent"
                    )
                keep_ticking(worker)
        except AnotherWorkerError as told:
            talk(str(told))
            return exit_codes.TRY_LATER
    talk("stopped")
    return exit_codes.OK


def _greeting(farm_name: str, send_at: str, zone: ZoneInfo) -> str:
    return f"{farm_name}: working, digests go out at {send_at} ({zone.key}); Ctrl-C to stop"


def _log_to_stderr() -> None:
    class OneLine(logging.Formatter):
        """Times in UTC, and names that people typed cannot start a line of their own."""

        def formatTime(self, record: logging.LogRecord, datefmt: str | None = None) -> str:
            return datetime.fromtimestamp(record.created, UTC).isoformat(timespec="seconds")

    handler = logging.StreamHandler(sys.stderr)
    handler.setFormatter(OneLine("%(asctime)s %(levelname)s %(message)s"))
    logger = logging.getLogger("warmspell")
    logger.handlers[:] = [handler]
    logger.setLevel(logging.INFO)
