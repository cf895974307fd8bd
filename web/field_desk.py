"""What the page of a field asks of the farm: its records, its rules, and what explains its call."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Protocol
from uuid import UUID

from dispatch.field_rules import FieldRules
from dispatch.report import FieldCall, MorningReport
from farm.retraction import Kind, Retraction
from storage.take_back import Entered


class RecordRefusal(Exception):
    """Why a record was not taken back, in one line that says what to do."""


@dataclass(frozen=True)
class KeptRecord:
    """One record: when it happened, when it was entered, and its retraction, None if it stands."""

    kind: Kind
    record: Entered
    happened_utc: datetime
    entered_utc: datetime
    taken_back: Retraction | None = None


@dataclass(frozen=True)
class FieldRecords:
    """The records of one field's season, newest first; ``damaged`` tells what cannot be read."""

    kept: tuple[KeptRecord, ...] = ()
    damaged: tuple[str, ...] = ()


class ExplainedSection(Protocol):
    """A titled piece of an explanation: lines to read, and rows under headers."""

    @property
    def title(self) -> str: ...

    @property
    def lines(self) -> tuple[str, ...]: ...

    @property
    def headers(self) -> tuple[str, ...]: ...

    @property
    def rows(self) -> tuple[tuple[str, ...], ...]: ...


class FieldDesk(Protocol):
    """Everything known of single fields."""

    def records(self, field_id: str) -> FieldRecords:
        """What people entered of a field this season, taken back or not."""
        ...

    def record(self, kind: Kind, uuid: UUID) -> KeptRecord | None:
        """One record of any season; None where none is kept under that id."""
        ...

    def rules(self, report: MorningReport, field_id: str) -> FieldRules | None:
        """The rules a morning judged a field by; None where they are not known."""
        ...

    def explained(self, report: MorningReport, one: FieldCall) -> Sequence[ExplainedSection]:
        """Every figure behind a call, section by section, as that morning knew it."""
        ...

    def take_back(self, kind: Kind, uuid: UUID, by: str, why: str) -> None:
        """Take a record back, once; `RecordRefusal` where it cannot be."""
        ...
