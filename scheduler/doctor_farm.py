"""What a doctor sees on this machine: config, secrets, database, clock, disk, and what was done."""

import os
import shutil
import stat
from collections.abc import Callable
from datetime import datetime, timedelta
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from scheduler import exit_codes
from scheduler.backup import KIND
from scheduler.clock_arbiter import in_words
from scheduler.clock_kept import KIND as JUDGED
from scheduler.doctor import THOROUGH_S, Check, Finding, fault, look, ok
from scheduler.due import AHEAD
from storage.database import Database
from storage.looked_at import Newest, OpenedOnce, newest_moments, opened_as_it_is, refuse_unsound
from storage.run_log import RunLog
from storage.seals import look_at_seals

if TYPE_CHECKING:
    from config.farm_config import FarmConfig

#: Age past which a backup is too old to lose what came after it [days]; judgement.
BACKUP_DAYS = 7
#: Free room below which a season's mornings may not fit, and below which a morning may not
#: [bytes]; judgement.
ROOM_LOOK, ROOM_FAULT = 1_000_000_000, 100_000_000
#: How far a record may lie ahead of the clock; judgement, the tolerance of issue times too.
AHEAD_OF_CLOCK = timedelta(minutes=10)
#: Age past which a forecast makes no call; the design's own limit.
FORECAST_OLD = timedelta(hours=24)

Opened = Callable[[], Database]


def farm_database(config: "FarmConfig") -> OpenedOnce:
    """The farm's database, opened when the first check asks for it."""
    place, password = config.settings.farm.database, config.secrets.database_password
    return OpenedOnce(partial(opened_as_it_is, place, config.folder, password))


def farm_checks(config: "FarmConfig", opened: Opened, now: datetime) -> list[Check]:
    """The checks that ask nobody outside."""
    data = exit_codes.DATABASE
    return [
        Check("config", partial(config_found, config), exit_codes.CONFIG),
        Check("secrets", partial(secrets_found, config), exit_codes.CONFIG),
        Check("database", partial(database_found, opened), data, THOROUGH_S),
        Check("records", partial(records_found, opened), data, THOROUGH_S),
        Check("clock", partial(clock_found, opened, now), exit_codes.CONFIG),
        Check("clock of others", partial(others_found, config, opened), exit_codes.CONFIG),
        Check("disk", partial(disk_found, config), data),
        Check("backup", partial(backup_found, opened, now), data),
        Check("last morning", partial(morning_found, config, opened, now), data),
        Check("fetched ahead", partial(ahead_found, config, opened), data),
        Check("newest forecast", partial(forecast_found, opened, now), data),
    ]


def config_found(config: "FarmConfig") -> Finding:
    """A config that got this far is valid; its warnings are for `warmspell check`."""
    count = len(config.warnings)
    told = f"{config.path}: {len(config.fields)} fields"
    if count:
        return look(f"{told}, {count} warnings; see warmspell check")
    return ok(told)


def secrets_found(config: "FarmConfig") -> Finding:
    """Files with passwords, the config and the database, and who may read or change them."""
    settings = config.settings
    rooms = (
        settings.farm,
        settings.mail,
        settings.sms,
        settings.links,
        settings.watch,
        settings.forecast,
    )
    named = [
        config.folder / str(value)
        for room in rooms
        if room is not None
        for key, value in room
        if key.endswith("_file") and key != "metrics_file" and value
    ]
    for path in named:
        if _mode(path) & (stat.S_IRGRP | stat.S_IWGRP | stat.S_IROTH | stat.S_IWOTH):
            # Its name may be told: what is secret is its content.
            return look(f"{path}: others than its owner can read it; run: chmod 600 {path}")
    for path in (config.path, config.folder):
        if _mode(path) & stat.S_IWOTH:
            told = f"{path}: everybody on this machine can change it; run: chmod o-w {path}"
            return fault(told, exit_codes.CONFIG)
    return ok(f"{len(named)} files, each for its owner alone" if named else "none in files")


def _mode(path: Path) -> int:
    try:
        return path.stat().st_mode if os.name == "posix" else 0
    except OSError:
        return 0


def database_found(opened: Opened) -> Finding:
    """Every page and index of the file, or that the server answers."""
    return ok(refuse_unsound(opened()))


def records_found(opened: Opened) -> Finding:
    """Every sealed record; damaged ones are named."""
    tables = look_at_seals(opened())
    damaged = [line for table in tables for line in table.damaged]
    if damaged:
        told = f"{len(damaged)} damaged: {'; '.join(damaged[:20])}"
        return fault(told, exit_codes.DATABASE)
    return ok(f"{sum(table.rows for table in tables):,} records, every seal whole")


def _newest(opened: Opened) -> Newest:
    return newest_moments(opened())


def clock_found(opened: Opened, now: datetime) -> Finding:
    """This machine's clock against the newest record: a clock set back makes all ages wrong."""
    newest = _newest(opened).record_utc
    if newest is not None and newest - now > AHEAD_OF_CLOCK:
        told = (
            f"it is {now:%Y-%m-%d %H:%M} UTC, and the newest record is of {newest:%Y-%m-%d %H:%M}"
        )
        return fault(f"{told}; set the clock, ages are wrong until then", exit_codes.CONFIG)
    return ok(f"{now:%Y-%m-%d %H:%M} UTC, not before the newest record")


def others_found(config: "FarmConfig", opened: Opened) -> Finding:
    """What weather services said of this clock, beside the answers of the last morning."""
    last = RunLog(opened()).newest(JUDGED)
    if last is None:
        return ok("no weather service has told the time beside its answers yet")
    when = _local(last.started_utc, config)
    verdict, _, minutes = (last.outcome or "").partition(" ")
    if verdict == "agrees":
        return ok(f"weather services agreed with it on {when}")
    off = timedelta(minutes=int(minutes or 0))
    how = f"on {when} it was {in_words(abs(off))} {'ahead' if off > timedelta() else 'behind'}"
    if verdict == "wrong":
        told = f"{how}, by the time weather services told, so no field was called; set it"
        return fault(told, exit_codes.CONFIG)
    return look(f"{how}, by the time of one weather service that nobody else confirmed")


def ahead_found(config: "FarmConfig", opened: Opened) -> Finding:
    """Whether the worker fetches forecasts before the morning that needs them."""
    last = RunLog(opened()).newest(AHEAD)
    if last is None:
        return ok("nothing yet; the worker does before each morning")
    began = f"for the morning of {last.local_date}, from {_local(last.started_utc, config)}"
    if last.finished_utc is None:
        return look(f"{began}: under way, or cut off; that morning asks for the rest")
    told = f"{began} until {_local(last.finished_utc, config)}"
    if last.exit_code == exit_codes.OK:
        return ok(f"{told}: all fields")
    which = "no field" if last.exit_code == exit_codes.NO_FORECAST else "not all fields"
    return look(f"{told}: {which}; the worker's log says why")


def _local(moment: datetime, config: "FarmConfig") -> str:
    return moment.astimezone(ZoneInfo(config.time_zone)).strftime("%a %Y-%m-%d %H:%M")


def disk_found(config: "FarmConfig") -> Finding:
    """Room where the database lies, or beside the config."""
    named = config.settings.farm.database
    folder = config.folder if "://" in named else (config.folder / named).parent
    free = shutil.disk_usage(folder).free
    told = f"{free / 1e9:,.1f} GB free in {folder}"
    if free < ROOM_FAULT:
        return fault(f"{told}; make room, or records cannot be kept", exit_codes.DATABASE)
    return look(f"{told}; make room soon") if free < ROOM_LOOK else ok(told)


def backup_found(opened: Opened, now: datetime) -> Finding:
    """How old the last whole backup is."""
    last = RunLog(opened()).last_whole(KIND)
    if last is None:
        return look("none was ever made; run: warmspell backup /another/disk --drill")
    days = (now - last) / timedelta(days=1)
    told = f"the last one is {days:.0f} days old"
    return look(f"{told}; run: warmspell backup") if days > BACKUP_DAYS else ok(told)


def morning_found(config: "FarmConfig", opened: Opened, now: datetime) -> Finding:
    """Whether mornings go out; one overdue today after one yesterday is a fault."""
    last = _newest(opened).morning_sent_on
    if last is None:
        return look("none was sent yet")
    local = now.astimezone(ZoneInfo(config.time_zone))
    days = (local.date() - last).days
    told = f"the last one sent is of {last}"
    overdue = days == 1 and local.time() > config.settings.farm.deadline
    if overdue:
        return fault(
            f"{told}; today's is overdue, is the worker running?", exit_codes.SOME_UNDELIVERED
        )
    return look(f"{told}, {days} days ago") if days > 1 else ok(told)


def forecast_found(opened: Opened, now: datetime) -> Finding:
    """Age of the newest forecast kept."""
    issued = _newest(opened).forecast_utc
    if issued is None:
        return look("none is kept yet")
    told = f"issued {issued:%Y-%m-%d %H:%M} UTC, {(now - issued) / timedelta(hours=1):.0f} h old"
    return look(f"{told}; no call stands on it") if now - issued > FORECAST_OLD else ok(told)
