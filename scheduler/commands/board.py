"""``warmspell board``: who may log in to a board that several people share."""

import click

from scheduler.commands.board_accounts import add, end, list_accounts, password


@click.group("board", short_help="Accounts of a shared board: add, list, password, end.")
def command() -> None:
    """Accounts of the board. A board for one person at this machine needs none.

    \b
    Examples:
      warmspell board add dana --role dispatcher
      warmspell board add aldama --role grower --grower aldama
      warmspell board list
      warmspell board end dana
    """


for part in (add, list_accounts, password, end):
    command.add_command(part)
