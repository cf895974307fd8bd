"""What people do on the board."""

from typing import Literal, get_args

BoardRole = Literal["dispatcher", "consultant", "operator", "scout", "grower"]
BOARD_ROLES: tuple[BoardRole, ...] = get_args(BoardRole)
