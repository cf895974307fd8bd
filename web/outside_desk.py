"""What comes and goes without a page: links of mails, gateways, feeds, and files to take along."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any, Protocol

from dispatch.report import MorningReport
from farm.board_feed import Feed
from notify.link_actions import LinkDesk
from notify.text_answers import Answered


class Feeds(Protocol):
    """Addresses of calendars by the digest of their secret."""

    def add(self, key: str, feed: Feed, now: datetime) -> None:
        """Keep a new one."""
        ...

    def of_key(self, key: str) -> Feed | None:
        """What an address tells; None where there is none, or it was ended."""
        ...

    def of_owner(self, owner: str) -> tuple[tuple[str, Feed, datetime], ...]:
        """Keys, feeds and when they were made, the oldest first."""
        ...

    def end(self, key: str, owner: str) -> bool:
        """End one of an owner; False where they have none by that key."""
        ...


class OutsideDesk(Protocol):
    """What is asked of the farm by those who are not on a page."""

    @property
    def feeds(self) -> Feeds:
        """Addresses of calendars."""
        ...

    def links(self) -> LinkDesk | None:
        """What links of mails do; None where the farm signs none."""
        ...

    def answer(self, told: Mapping[str, Any], given: str | None) -> Answered:
        """Take an answer to a text, as a gateway posts it with the word agreed on."""
        ...

    def report(self, told: Mapping[str, Any], given: str | None) -> Answered:
        """Take a delivery report of a gateway."""
        ...

    def revision(self) -> int:
        """A number that rises whenever a plan or a record is added."""
        ...

    def order_csv(self, report: MorningReport, overtaken: Mapping[str, str]) -> str:
        """The order as CSV; ``overtaken`` says by field id which calls do not stand, and why."""
        ...

    def visits_csv(self, report: MorningReport | None, grower_ids: frozenset[str] | None) -> str:
        """Visits as CSV, of the fields of some growers, or of all where None, those gone too.

        The whole ``report`` tells which names they must not read; without one they read no note.
        """
        ...

    def sprays_csv(self, report: MorningReport | None, grower_ids: frozenset[str] | None) -> str:
        """Sprays as CSV, with earliest re-entry and harvest; for whom as with visits."""
        ...
