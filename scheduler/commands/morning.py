"""``warmspell morning``: one morning now."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from scheduler.commands.options import at_option, config_option, json_option
from scheduler.fetch_bar import fetch_bar
from scheduler.speaking import say, talk

if TYPE_CHECKING:
    from scheduler.morning import MorningRun
    from scheduler.one_morning import Morning
    from scheduler.opening import OpenFarm


@click.command("morning", short_help="This morning's calls, sent to everybody once.")
@config_option
@at_option
@click.option("--dry-run", is_flag=True, help="Show the operator's digest, send nothing.")
@click.option(
    "--replay",
    is_flag=True,
    help="Decide the morning kept for --at again from its own inputs and say if it is the same.",
)
@json_option
@click.option(
    "--out",
    "folder",
    type=click.Path(file_okay=False, path_type=Path),
    metavar="DIR",
    help="Also write every digest, the JSON and the CSV into DIR.",
)
def command(
    config_path: Path,
    at: str | None,
    dry_run: bool,
    replay: bool,
    as_json: bool,
    folder: Path | None,
) -> int:
    """Make the calls of this morning and send every person their digest.

    A digest goes out once for each person and local date: the same morning again sends nothing.
    A time that lies back takes the forecasts kept by then and asks nobody.

    \b
    Examples:
      warmspell morning --dry-run
      warmspell morning --config myfarm/farm.toml --out today
      warmspell morning --at 2026-10-06T06:00 --json
      warmspell morning --at 2026-10-06T06:00 --replay
    \b
    Exit codes: 0 all known and sent, 3 some fields unknown, 4 some people not reached,
    69 no forecast at all (the digest says so), 75 somebody else is sending it just now,
    78 the weather service or the mail server refuses what the config gives, or this machine's
    clock is wrong.
    """
    from scheduler.messages import unwritten
    from scheduler.one_morning import decided_code
    from scheduler.opening import open_farm
    from scheduler.outputs import report_json
    from scheduler.written_morning import write_morning

    with open_farm(config_path, at) as farm:
        if replay:
            return _replayed(farm, as_json)
        for warning in farm.config.warnings:
            talk(warning)
        told_by_clock = at is None and farm.config.settings.replay is None
        if dry_run:
            run, shown = _tried(farm, told_by_clock)
            code = decided_code(run)
        else:
            done = _sent(farm, told_by_clock)
            run, shown, code = done.run, _summary(done, farm), done.exit_code
            for note in done.delivery.notes:
                talk(note)
        for fault in (*unwritten(run), *run.damaged, run.clock.alarm):
            if fault:
                talk(fault)
        if run.refusal:
            talk(f"{config_path}: {run.refusal}")
        if folder is not None:
            talk(f"{len(write_morning(folder, run))} files written to {folder}")
    say(report_json(run.report) if as_json else shown)
    return code


def _replayed(farm: "OpenFarm", as_json: bool) -> int:
    """Nothing is sent and nothing kept; a call that the same rules no longer give is our fault."""
    from scheduler import exit_codes
    from scheduler.outputs import report_json
    from scheduler.replay import replay_at, verdict

    told = replay_at(farm, farm.now)
    lines = "\n".join(verdict(told))
    if as_json:
        say(report_json(told.again))
        talk(lines)
    else:
        say(lines)
    broken = bool(told.differences) and told.same_rules
    return exit_codes.INTERNAL if broken else exit_codes.OK


def _tried(farm: "OpenFarm", told_by_clock: bool) -> tuple["MorningRun", str]:
    from scheduler.clock import going_on_from
    from scheduler.morning import decide_morning
    from scheduler.operator_view import as_shown, operator_digest
    from scheduler.plans import DRY_RUN
    from scheduler.rigs_of_morning import rig_planner

    with fetch_bar() as progress:
        run = decide_morning(
            farm.config,
            farm.stores,
            farm.now,
            progress=progress,
            past=farm.past,
            clock=going_on_from(farm.now) if told_by_clock else None,
            rigs=rig_planner(farm, going_on_from(farm.now)),
        )
    farm.stores.plans.keep(run.report, run.inputs, DRY_RUN)
    return run, as_shown(operator_digest(run, farm.config))


def _sent(farm: "OpenFarm", told_by_clock: bool) -> "Morning":
    from scheduler.channels import channels_of
    from scheduler.clock import going_on_from
    from scheduler.one_morning import carry_out
    from scheduler.watch import Watch
    from scheduler.worker_name import worker_name
    from scheduler.workers import alone_at, at_work

    farm, worker, clock = at_work(farm), worker_name(), going_on_from(farm.now)
    channels = channels_of(farm, clock)
    with alone_at(farm, worker, clock), fetch_bar() as progress:
        done = carry_out(
            farm,
            channels,
            worker,
            farm.today,
            progress,
            clock=clock,
            asked_for=not told_by_clock,
        )
    Watch().look(farm)
    return done


def _summary(done: "Morning", farm: "OpenFarm") -> str:
    from scheduler.summary import delivery_line, farm_line

    lines = [farm_line(done.run.report)]
    lines += delivery_line(
        done, channels=bool(farm.config.settings.mail or farm.config.settings.sms)
    )
    return "\n".join(lines)
