"""``warmspell work``: the worker that sends each morning's digests."""

import os
import signal
import sys
import threading
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import click

from scheduler import exit_codes
from scheduler.commands.options import config_option
from scheduler.speaking import talk


@click.command("work", short_help="The worker that sends each morning by itself.")
@config_option
@click.option("--log-json", is_flag=True, help="Write the log as one JSON object a line.")
def command(config_path: Path, log_json: bool) -> int:
    """Run until stopped, and send each morning's digests once, at the time the config says.

    Started late it catches up; a second one for the same farm ends at once with exit code 75.
    SIGTERM lets the message under way finish and ends with 0.

    \b
    Examples:
      warmspell work --config myfarm/farm.toml
      warmspell work --config myfarm/farm.toml --log-json
    """
    from scheduler.clock import now_utc
    from scheduler.log_lines import log_to, secret_texts
    from scheduler.opening import open_farm
    from scheduler.worker import keep_ticking
    from scheduler.worker_lock import AnotherWorkerError, lock_path, only_worker
    from scheduler.workers import worker_of

    with open_farm(config_path) as farm:
        settings = farm.config.settings
        style = "json" if log_json else settings.watch.log
        log_to(sys.stderr, style, secret_texts(farm.config.secrets, os.environ))
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
