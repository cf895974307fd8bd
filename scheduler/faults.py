"""What went wrong, in one line on stderr and one exit code; never a traceback unless asked for."""

import os
import traceback

import click

from scheduler import exit_codes
from scheduler.clock import ClockError
from scheduler.data_error import DataError
from scheduler.plans import NoPlanError
from scheduler.speaking import talk
from scheduler.worker_lock import AnotherWorkerError

#: Set this environment variable to 1 to see where a fault of the program happened.
TRACEBACK_WISH = "WARMSPELL_TRACEBACK"


def report(fault: Exception) -> int:
    """Tell a fault on stderr and give the code to exit with."""
    if os.environ.get(TRACEBACK_WISH) == "1":
        from scheduler.log_lines import masked

        talk(masked("".join(traceback.format_exception(fault))))
    lines, code = _told(fault)
    for line in lines:
        talk(line)
    return code


def _told(fault: Exception) -> tuple[list[str], int]:
    # Imported here because showing help needs none of them.
    from config.problem import ConfigError
    from forecasts.errors import ForecastError
    from storage.errors import StorageError

    if isinstance(fault, click.exceptions.NoArgsIsHelpError):
        return [fault.format_message()], exit_codes.USAGE
    if isinstance(fault, click.UsageError):
        return [_usage_line(fault)], exit_codes.USAGE
    if isinstance(fault, click.ClickException):
        return [f"warmspell: {fault.format_message()}"], exit_codes.USAGE
    if isinstance(fault, ClockError):
        return [f"warmspell: --at: {fault}"], exit_codes.USAGE
    if isinstance(fault, ConfigError):
        return list(fault.lines), exit_codes.CONFIG
    if isinstance(fault, NoPlanError):
        return [str(fault)], exit_codes.TRY_LATER
    if isinstance(fault, AnotherWorkerError):
        return [str(fault)], exit_codes.TRY_LATER
    if isinstance(fault, DataError):
        return list(fault.lines), exit_codes.BAD_DATA
    if isinstance(fault, ForecastError):
        return [f"forecast: {fault}"], exit_codes.NO_FORECAST
    if isinstance(fault, StorageError):
        return [str(fault)], exit_codes.TRY_LATER if fault.busy else exit_codes.DATABASE
    told = " ".join(str(fault).split())
    return [
        f"warmspell: a fault of this program ({type(fault).__name__}: {told}); nothing more was "
        f"done, set {TRACEBACK_WISH}=1 to see where"
    ], exit_codes.INTERNAL


def _usage_line(fault: click.UsageError) -> str:
    asked = fault.ctx.command_path if fault.ctx else "warmspell"
    told = " ".join(fault.format_message().split()).rstrip(".")
    return f"{asked}: {told}; see {asked} --help"
