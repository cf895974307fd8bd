"""The digest that the person at the keyboard is shown."""

from typing import TYPE_CHECKING

from farm.people import Person, Role

if TYPE_CHECKING:
    from config.farm_config import FarmConfig
    from notify.digest import Digest
    from scheduler.morning import MorningRun


def operator_digest(run: "MorningRun", config: "FarmConfig") -> "Digest":
    """The first operator's digest; one made for the purpose where the farm has no operator."""
    from notify.digest import write_digest
    from scheduler.stop_line import stop_line

    for digest in run.digests:
        if digest.person.role is Role.OPERATOR:
            return digest
    operator = Person(id="operator", name="Operator", role=Role.OPERATOR)
    return write_digest(run.report, operator, stop_line(config), rigs=run.rigs)


def as_shown(digest: "Digest") -> str:
    """Subject and text, as a mail program shows them."""
    return f"Subject: {digest.subject}\n\n{digest.text.rstrip()}"
