"""Links put into a digest: for the first fields to spray, and for the end of the mails."""

from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from urllib.parse import quote

from dispatch.report import MorningReport
from farm.consent import address_key
from farm.people import Person
from notify.links import Link, LinkKeys, Purpose
from notify.page import Card, LinkWords, Page

_WORDS: dict[Purpose, str] = {
    "sprayed": "It was sprayed",
    "look-again": "Look at it again",
    "unsubscribe": "End these mails",
}
_BOARD, _FIELD = "Open the board", "All about it"
#: Below this address readers press what a mail offers.
PRESSED_AT = "do"


@dataclass(frozen=True)
class LinkMaker:
    """Makes the addresses of links. ``base_url`` is where readers reach the board."""

    keys: LinkKeys = field(repr=False)
    base_url: str
    valid_days: int = 7

    def url(self, link: Link) -> str:
        """The address of a link."""
        return self.address(PRESSED_AT, link.purpose, self.keys.sign(link))

    def address(self, *steps: str) -> str:
        """The address of a page of the board."""
        return "/".join([self.base_url.rstrip("/"), *(quote(one, safe="") for one in steps)])

    def expires(self, made_utc: datetime) -> datetime:
        """When a link made at a moment ends."""
        return made_utc + timedelta(days=self.valid_days)


def with_links(page: Page, seen: MorningReport, person: Person, maker: LinkMaker) -> Page:
    """The page with links; only fields it shows as whole cards get any, so that mails stay small.

    ``seen`` is the morning as this person may see it: nothing else can be linked to.
    """
    field_ids = {one.rank: one.field.id for one in seen.to_act_on()}

    def of_card(card: Card) -> Card:
        field_id = field_ids.get(card.rank)
        if field_id is None:
            return card
        purposes: tuple[Purpose, ...] = ("sprayed", "look-again")
        of_field = LinkWords(_FIELD, maker.address("fields", field_id))
        return replace(card, links=(*(_words(one, field_id) for one in purposes), of_field))

    def _words(purpose: Purpose, field_id: str) -> LinkWords:
        on, until = seen.run.local_date.isoformat(), maker.expires(seen.run.made_utc)
        link = Link(purpose, person.id, field_id, on, expires_utc=until)
        return LinkWords(_WORDS[purpose], maker.url(link))

    whole, rest = page.cards[: page.full_cards], page.cards[page.full_cards :]
    return replace(
        page,
        cards=(*(of_card(card) for card in whole), *rest),
        stop_link=_stop_link(person, maker),
        board_link=LinkWords(_BOARD, f"{maker.address()}/"),
    )


def _stop_link(person: Person, maker: LinkMaker) -> LinkWords | None:
    if not person.email:
        return None
    link = Link("unsubscribe", person.id, address_key=address_key("mail", person.email))
    return LinkWords(_WORDS["unsubscribe"], maker.url(link))
