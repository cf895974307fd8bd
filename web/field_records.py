"""The records of a field as tables, newest first; those taken back stand there, struck out."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from urllib.parse import quote
from uuid import UUID

from dispatch.words import LocalClock, amount, day
from farm.records import Freeze, FreezeInspection, Harvest, Spray, Visit
from farm.retraction import Kind
from notify.user_text import plain_line
from storage.take_back import Entered
from web.desk import FarmFacts
from web.field_desk import KeptRecord
from web.field_view import FieldView
from web.units import Units, shown
from web.viewer import Deed, Viewer

#: How long after it was entered a record can be taken back with one button.
UNDO_FOR = timedelta(days=1)

#: What taking back a record of each kind is the deed of.
UNDO_DEED: dict[Kind, Deed] = {
    "visit": "scout",
    "spray": "records",
    "harvest": "records",
    "freeze": "records",
    "inspection": "records",
}


@dataclass(frozen=True)
class RecordRow:
    """One record; ``gone`` says who took it back and why, ``undo`` where it can be taken back.

    ``photo`` is where its picture is, "" where none was taken.
    """

    cells: tuple[str, ...]
    gone: str
    undo: str
    photo: str


@dataclass(frozen=True)
class RecordTable:
    """The records of one kind."""

    title: str
    headers: tuple[str, ...]
    rows: tuple[RecordRow, ...]


@dataclass(frozen=True)
class Told:
    """What the words of a record need: units, and names of mixes by their id."""

    units: Units
    mixes: Mapping[str, str]


def record_tables(
    view: FieldView,
    kept: Sequence[KeptRecord],
    mixes: Mapping[str, str],
    photographed: frozenset[UUID],
    now: datetime,
) -> tuple[RecordTable, ...]:
    """A table for each kind of which there are records."""
    told = Told(view.units, mixes)
    tables = []
    for kind, (title, headers, cells) in _KINDS.items():
        own = [one for one in kept if one.kind == kind]
        rows = tuple(
            _row(one, view, cells(one.record, told), one.record.uuid in photographed, now)
            for one in own
        )
        if rows:
            names = ("when", *headers, "note", "entered")
            tables.append(RecordTable(title, names, rows))
    return tuple(tables)


def mixes_of(farm: FarmFacts) -> dict[str, str]:
    """Names of the farm's mixes by their id."""
    return {one.id: one.name for one in farm.treatments}


def may_undo(one: KeptRecord, viewer: Viewer, now: datetime) -> bool:
    """Whether a reader may take a record back now by its button."""
    young = now - one.entered_utc <= UNDO_FOR
    return young and one.taken_back is None and viewer.may(UNDO_DEED[one.kind])


def undo_path(one: KeptRecord) -> str:
    """The page that asks whether to take a record back."""
    return f"/records/{one.kind}/{one.record.uuid}/undo"


def photo_path(one: KeptRecord) -> str:
    """Where the photo of a visit is."""
    return f"/photos/{quote(one.record.field_id, safe='')}/{one.record.uuid}"


def _row(
    one: KeptRecord, view: FieldView, cells: tuple[str, ...], photographed: bool, now: datetime
) -> RecordRow:
    note = view.told(plain_line(one.record.note))
    own = tuple(view.told(plain_line(cell)) for cell in cells)
    happened, entered = (
        moment_words(moment, view.clock) for moment in (one.happened_utc, one.entered_utc)
    )
    return RecordRow(
        cells=(happened, *own, note, entered),
        gone=taken_back_words(one, view),
        undo=undo_path(one) if may_undo(one, view.viewer, now) else "",
        photo=photo_path(one) if photographed else "",
    )


def taken_back_words(one: KeptRecord, view: FieldView) -> str:
    """Who took it back, when and why; "" while it stands."""
    if one.taken_back is None:
        return ""
    by = f" by {plain_line(one.taken_back.by)}" if one.taken_back.by else ""
    when = moment_words(one.taken_back.retracted_utc, view.clock)
    why = view.told(plain_line(one.taken_back.why))
    return f"Taken back {when}{view.told(by)}{f': {why}' if why else ''}"


def moment_words(moment: datetime, clock: LocalClock) -> str:
    """A moment of the past: ``Mon 5 Oct 9:30 am``."""
    return f"{day(clock.local(moment).date())} {clock.hour(moment)}"


def record_words(one: KeptRecord, clock: LocalClock, told: Told) -> str:
    """A record in a line, for who is asked about it."""
    _, headers, cells = _KINDS[one.kind]
    figures = zip(headers, cells(one.record, told), strict=True)
    said = [f"{name} {plain_line(figure)}" for name, figure in figures if figure]
    return ", ".join([moment_words(one.happened_utc, clock), *said])


def _visit(one: Entered, told: Told) -> tuple[str, ...]:
    assert isinstance(one, Visit)
    return (
        one.scout,
        "from the road" if one.windshield else _figure(one.plants_counted),
        _figure(one.nodes_above_cracked_boll),
        _figure(one.percent_open, " %"),
        _of(one.bolls_cut_mature, one.bolls_cut),
        _figure(one.leaf_drop_pct, " %"),
    )


def _spray(one: Entered, told: Told) -> tuple[str, ...]:
    assert isinstance(one, Spray)
    mix = told.mixes.get(one.treatment_id, one.treatment_id)
    return one.applicator, mix, one.rig_id or ""


def _harvest(one: Entered, told: Told) -> tuple[str, ...]:
    assert isinstance(one, Harvest)
    return (shown(one.acres, "area", told.units),)


def _freeze(one: Entered, told: Told) -> tuple[str, ...]:
    assert isinstance(one, Freeze)
    by = one.reporter if one.told_by == "person" else "forecast, not confirmed"
    low = "not known" if one.low_f is None else shown(one.low_f, "temp", told.units)
    return by, low


def _inspection(one: Entered, told: Told) -> tuple[str, ...]:
    assert isinstance(one, FreezeInspection)
    leaves = "" if one.leaves == "not_looked" else one.leaves
    return one.inspector, one.found, leaves, _of(one.bolls_dead, one.bolls_cut)


def _figure(value: float | None, sign: str = "") -> str:
    return "" if value is None else f"{amount(value)}{sign}"


def _of(part: int | None, whole: int | None) -> str:
    return "" if whole is None else f"{'?' if part is None else part} of {whole}"


_Cells = Callable[[Entered, Told], tuple[str, ...]]
_KINDS: dict[Kind, tuple[str, tuple[str, ...], _Cells]] = {
    "visit": ("Visits", ("scout", "plants", "NACB", "open", "cut mature", "leaf off"), _visit),
    "spray": ("Sprays", ("by", "mix", "rig"), _spray),
    "harvest": ("Picked", ("area",), _harvest),
    "freeze": ("Freezes", ("told by", "low"), _freeze),
    "inspection": ("Looks after a freeze", ("by", "found", "leaves", "bolls dead"), _inspection),
}
