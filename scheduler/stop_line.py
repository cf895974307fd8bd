"""How a reader stops these mails."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from config.farm_config import FarmConfig


def stop_line(config: "FarmConfig") -> str:
    """The line at the end of every message."""
    mail = config.settings.mail
    return f"To stop these mails: {mail.stop_contact if mail else 'tell your co-op'}."
