"""A new account from what was typed."""

from typing import TYPE_CHECKING

from pydantic import ValidationError

from farm.account import Account
from scheduler.data_error import DataError
from web.passwords import hash_of

if TYPE_CHECKING:
    from scheduler.opening import OpenFarm


def new_account(
    farm: "OpenFarm", name: str, role: str, grower_ids: tuple[str, ...], password: str
) -> Account:
    """The account, not yet kept.

    Raises
    ------
    DataError
        A name or password that is not fine, a grower the config does not have, or a role that
        does not go with growers.
    """
    known = [one.id for one in farm.config.settings.growers]
    strange = [one for one in grower_ids if one not in known]
    if strange:
        raise DataError([f'account: grower: got "{strange[0]}", wanted one of {", ".join(known)}'])
    try:
        return Account.model_validate(
            {
                "name": name.lower(),
                "role": role,
                "grower_ids": grower_ids,
                "password_hash": hashed(password),
                "added_utc": farm.now,
            }
        )
    except ValidationError as fault:
        first = fault.errors()[0]
        told = first["msg"].removeprefix("Value error, ")
        if first["loc"] == ("name",):
            told = f'name: got "{name}", wanted small letters, digits, dots and dashes; {told}'
        raise DataError([f"account: {told}"]) from None


def hashed(password: str) -> str:
    """The hash to keep; DataError where the password is too short or too long."""
    try:
        return hash_of(password)
    except ValueError as fault:
        raise DataError([f"account: {fault}"]) from None
