"""``warmspell board add``, ``list``, ``password`` and ``end``."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from farm.board_role import BOARD_ROLES
from scheduler import exit_codes
from scheduler.commands.options import config_option
from scheduler.speaking import say

if TYPE_CHECKING:
    from scheduler.opening import OpenFarm


@click.command("add", short_help="A new account.")
@click.argument("name")
@click.option("--role", type=click.Choice(BOARD_ROLES), required=True, help="What they do here.")
@click.option("--grower", "grower_ids", multiple=True, metavar="ID", help="Whose fields they see.")
@config_option
def add(name: str, role: str, grower_ids: tuple[str, ...], config_path: Path) -> int:
    """Make an account for NAME; its password is asked for.

    A grower's account names one grower or several, and sees their fields alone.

    \b
    Examples:
      warmspell board add dana --role dispatcher
      warmspell board add aldama --role grower --grower aldama
    """
    from scheduler.board.accounts import new_account
    from scheduler.opening import open_farm

    with open_farm(config_path) as farm:
        account = new_account(farm, name, role, grower_ids, _asked(farm))
        farm.stores.accounts.add(account)
    say(f"{account.name}: may log in as {account.role}")
    return exit_codes.OK


@click.command("list", short_help="Who may log in.")
@config_option
def list_accounts(config_path: Path) -> int:
    """List the accounts, closed ones too.

    \b
    Example:
      warmspell board list
    """
    from scheduler.opening import open_farm
    from scheduler.tables import show_table

    with open_farm(config_path) as farm:
        rows = [
            (
                one.name,
                one.role,
                ", ".join(one.grower_ids),
                f"{one.added_utc.astimezone(farm.zone):%a %-d %b %Y}",
                "" if one.ended_utc is None else f"{one.ended_utc.astimezone(farm.zone):%a %-d %b}",
            )
            for one in farm.stores.accounts.all()
        ]
    show_table(("name", "role", "growers", "since", "closed"), rows)
    return exit_codes.OK


@click.command("password", short_help="A new password.")
@click.argument("name")
@config_option
def password(name: str, config_path: Path) -> int:
    """Give the account NAME a new password, and end all it has open.

    \b
    Example:
      warmspell board password dana
    """
    from scheduler.board.accounts import hashed
    from scheduler.opening import open_farm

    with open_farm(config_path) as farm:
        kept = hashed(_asked(farm))
        farm.stores.accounts.change(
            name.lower(), lambda one: one.model_copy(update={"password_hash": kept})
        )
    say(f"{name.lower()}: has a new password; they log in again")
    return exit_codes.OK


@click.command("end", short_help="Close an account.")
@click.argument("name")
@config_option
def end(name: str, config_path: Path) -> int:
    """Close the account NAME: they are out at once, and their feeds end.

    \b
    Example:
      warmspell board end dana
    """
    from scheduler.opening import open_farm

    with open_farm(config_path) as farm:
        farm.stores.accounts.change(
            name.lower(), lambda one: one.model_copy(update={"ended_utc": farm.now})
        )
    say(f"{name.lower()}: closed")
    return exit_codes.OK


def _asked(farm: "OpenFarm") -> str:
    """A password typed twice, or the first line of what is piped in."""
    if not sys.stdin.isatty():
        return sys.stdin.readline().rstrip("\n")
    told: str = click.prompt(
        f"Password for the board of {farm.config.settings.farm.name}",
        hide_input=True,
        confirmation_prompt=True,
        err=True,
    )
    return told
