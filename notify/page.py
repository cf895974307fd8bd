"""What a digest says, in blocks, before it is laid out as text or HTML."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from dispatch.report import FieldCall
from dispatch.words import LocalClock
from notify.hour_strip import Strip

#: Gives the clock of the place a field lies in.
ClockOf = Callable[[FieldCall], LocalClock]


@dataclass(frozen=True)
class Effect:
    """What a spray would do now and from the back of the line [points, 0-100]."""

    now_pct: int
    back_pct: int | None
    back_when: str
    said: str


@dataclass(frozen=True)
class LinkWords:
    """A link as shown: what it does, and its address."""

    words: str
    url: str


@dataclass(frozen=True)
class Card:
    """A field to spray: ``act`` and ``when`` are what is acted on, the rest is why."""

    rank: int
    name: str
    size: str
    call_word: str
    act: str
    when: str
    air: str
    more_windows: tuple[str, ...]
    effect: Effect | None
    facts: tuple[str, ...]
    reasons: tuple[str, ...]
    strip: Strip | None
    links: tuple[LinkWords, ...] = ()


@dataclass(frozen=True)
class ShortCard:
    """A field to spray in a few words, where the list is long."""

    rank: int
    name: str
    said: str


@dataclass(frozen=True)
class Row:
    """A field that is not sprayed today: a name, a figure or date to see first, and sentences."""

    name: str
    mark: str
    lines: tuple[str, ...]


@dataclass(frozen=True)
class Block:
    """One heading with its rows: ``intro`` holds for all of them, ``more`` says what is cut."""

    title: str
    rows: tuple[Row, ...]
    intro: tuple[str, ...] = ()
    more: str = ""


@dataclass(frozen=True)
class ForecastWords:
    """Whose forecast, how old (``badge`` where it is ageing), and what it says of freezes."""

    badge: str
    lines: tuple[str, ...]


@dataclass(frozen=True)
class Tally:
    """How many fields have one call: ``words`` such as "to walk"."""

    count: int
    words: str


@dataclass(frozen=True)
class Page:
    """One person's morning. A block that holds nothing is None.

    ``first_caution`` stands at the top of the mail, since mail programs cut long ones at their
    end; cards past ``full_cards`` are laid out as rows, and fields past the cards are
    ``short_cards``. ``stops`` are those of the rigs that the person drives or sends.
    """

    local_date: date
    day: str
    farm: str
    subject: str
    preheader: str
    tally: tuple[Tally, ...]
    summary: str
    lead: tuple[str, ...]
    unknown: Block | None
    spray_title: str
    cards: tuple[Card, ...]
    short_cards: tuple[ShortCard, ...]
    held: Block | None
    walk: Block | None
    frozen: Block | None
    wait: Block | None
    sprayed: Block | None
    picked: Block | None
    harvest: str
    forecast: ForecastWords
    first_caution: str
    full_cards: int
    cautions: tuple[str, ...]
    stop_line: str
    stop_link: LinkWords | None = None
    stops: Block | None = None
    board_link: LinkWords | None = None
