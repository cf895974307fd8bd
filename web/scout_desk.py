"""What the pages of the scouts ask of the farm."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal, Protocol
from uuid import UUID

from dispatch.report import FieldCall, MorningReport


class VisitRefusal(Exception):
    """Why a visit was not taken: (column, what is wrong) pairs."""

    def __init__(self, problems: list[tuple[str, str]]) -> None:
        super().__init__("; ".join(f"{column}: {problem}" for column, problem in problems))
        self.problems = problems


@dataclass(frozen=True)
class KeptVisit:
    """A visit that is safely kept; ``said`` are sentences on how sure its counts are."""

    uuid: UUID
    field_id: str
    state: Literal["kept", "known"]
    said: tuple[str, ...] = ()


@dataclass(frozen=True)
class AskedLook:
    """Somebody asked that a field be looked at; ``on`` is a date with its weekday."""

    field_id: str
    by: str
    on: str


class Scouting(Protocol):
    """Fields worth a walk, and what was counted there."""

    def due(self, report: MorningReport) -> tuple[FieldCall, ...]:
        """Fields where a visit is worth something, most gain first."""
        ...

    def why(self, one: FieldCall) -> str:
        """Why a field is worth walking, in a sentence."""
        ...

    def asked(self) -> tuple[AskedLook, ...]:
        """Fields that somebody asked to have looked at and nobody has walked since."""
        ...

    def walked(self, report: MorningReport) -> frozenset[str]:
        """Fields that were walked after the visit their call rests on."""
        ...

    def nacb_max(self, field_id: str) -> float:
        """Most nodes above cracked boll on a mature field."""
        ...

    def add(self, texts: Mapping[str, str], by: str, photo: bytes | None) -> KeptVisit:
        """Keep a visit, once for each uuid: it is on the disk when this returns.

        ``texts`` are the columns of a scouting sheet. Raises `VisitRefusal`.
        """
        ...

    def photo(self, field_id: str, uuid: UUID) -> bytes | None:
        """The photo of a visit to a field, JPEG; None where there is none."""
        ...

    def photographed(self, uuids: Iterable[UUID]) -> frozenset[UUID]:
        """Those of some visits that have a photo."""
        ...
