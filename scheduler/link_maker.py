"""Links of mails, where the farm has a board to lead to and a key to sign with."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from config.farm_config import FarmConfig
    from notify.link_lines import LinkMaker


def link_maker(config: "FarmConfig") -> "LinkMaker | None":
    """What makes links; None, so that mails have none, without a board, a key, or a safe key."""
    settings, key = config.settings.links, config.secrets.link_key
    if settings is None or key is None:
        return None
    from notify.link_lines import LinkMaker
    from notify.links import LinkKeys

    try:
        keys = LinkKeys.from_text(key.get_secret_value())
    except ValueError:
        # `warmspell check` says so; a morning goes out all the same.
        return None
    return LinkMaker(keys, settings.base_url, settings.valid_days)
