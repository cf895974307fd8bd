"""``warmspell doctor``: everything a morning stands on, looked at."""

import json
from pathlib import Path

import click

from scheduler import exit_codes
from scheduler.commands.options import config_option, json_option
from scheduler.speaking import say, talk


@click.command("doctor", short_help="Everything a morning stands on, looked at.")
@config_option
@click.option("--offline", is_flag=True, help="Ask nobody outside this machine.")
@json_option
def command(config_path: Path, offline: bool, as_json: bool) -> int:
    """Look at config, secrets, database, clock, disk, backup, mail, texts and weather service.

    One line each: OK, LOOK where somebody should look some time, FAULT where mornings fail or
    will. Nothing is sent and nothing changed. Each look has its own time and hides no other.

    \b
    Examples:
      warmspell doctor
      warmspell doctor --offline --json
    \b
    Exit codes: 0 no fault, else the gravest: 78 config or clock, 74 database or disk,
    4 people cannot be reached, 69 a weather service does not answer.
    """
    from config.problem import ConfigError
    from scheduler.doctor import Looked, exit_code, fault, lines, look_at_all
    from scheduler.doctor_farm import farm_checks, farm_database
    from scheduler.doctor_network import network_checks
    from scheduler.opening import load_config, moment_of

    try:
        config = load_config(config_path)
    except ConfigError as error:
        for line in error.lines:
            talk(line)
        told = f"{len(error.lines)} faults, told above; nothing else can be looked at before"
        looked: tuple[Looked, ...] = (Looked("config", fault(told, exit_codes.CONFIG)),)
    else:
        database = farm_database(config)
        checks = farm_checks(config, database, moment_of(config, None))
        looked = look_at_all(checks + ([] if offline else network_checks(config)))
        database.close()
    code = exit_code(looked)
    if as_json:
        rows = [
            {"check": one.name, "word": one.finding.word, "told": one.finding.told}
            | {"exit_code": one.finding.code}
            for one in looked
        ]
        say(json.dumps({"checks": rows, "exit_code": code}, indent=2))
    else:
        say("\n".join(lines(looked)))
    return code
