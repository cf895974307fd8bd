"""Answers of the US National Weather Service: the envelope, the cell named, the cell's outline."""

import re
from typing import Any, NamedTuple, TypeVar

import msgspec

from forecasts.errors import ForecastError
from forecasts.nws_layers import VARIABLE_MAP, ToldLayer
from forecasts.units import to_house

#: An office and a column and row, as they stand in addresses and file names.
_OFFICE = re.compile(r"[A-Z0-9]{2,5}", re.ASCII)
_STEPS = re.compile(r"\d{1,5}", re.ASCII)

Text = str | int | float | bool | None | list[Any] | dict[str, Any]


class _Polygon(msgspec.Struct):
    type: str
    coordinates: list[list[list[float]]]


class _Length(msgspec.Struct, rename="camel"):
    unit_code: str
    value: float


def _decoder_with(layer_form: Any, missing: Any) -> msgspec.json.Decoder[Any]:
    """A decoder of whole answers that takes each layer in a form, or as missing."""
    properties = msgspec.defstruct(
        "Properties",
        [
            ("gridId", Text, None),
            ("gridX", Text, None),
            ("gridY", Text, None),
            ("timeZone", Text, None),
            ("updateTime", Text, None),
            ("validTimes", Text, None),
            ("elevation", msgspec.Raw, msgspec.Raw()),
            *[(name, layer_form, missing) for name in VARIABLE_MAP],
        ],
    )
    answer = msgspec.defstruct(
        "Answer",
        [
            ("properties", properties | None, None),
            ("geometry", msgspec.Raw, msgspec.Raw()),
            ("title", Text, None),
            ("status", Text, None),
            ("reason", Text, None),
        ],
    )
    return msgspec.json.Decoder(answer)


#: Answers that keep the form are read in one go. Where one layer does not, that pass fails, and
#: the second leaves every layer unread, so that the one costs only itself.
_in_form = _decoder_with(ToldLayer | msgspec.UnsetType, msgspec.UNSET)
_layers_unread = _decoder_with(msgspec.Raw, msgspec.Raw())


class CellName(NamedTuple):
    """Office, column and row of a cell, and the time zone the service gives the place."""

    office: str
    column: int
    row: int
    time_zone: str | None = None

    @property
    def cell_id(self) -> str:
        """The name we keep the cell under."""
        return f"nws:{self.office}/{self.column},{self.row}"


def read_point(body: bytes) -> CellName:
    """The cell a /points answer names.

    Raises
    ------
    ForecastError
        The answer cannot be read, reports a problem, or names no cell.
    """
    answer = envelope(body)
    name = cell_name(answer.properties)
    if name is None:
        raise ForecastError(
            "the weather service has no forecast cell for this place", False, gone=True
        )
    return name


def read_outline(body: bytes) -> tuple[tuple[float, float], ...]:
    """The outline of a /gridpoints answer alone, empty where it tells none."""
    return outline(envelope(body).geometry)


def envelope(body: bytes) -> Any:
    """The answer, each layer a `FoundLayer`; `ForecastError` where it is no forecast."""
    try:
        answer = _decoded(body)
    except (msgspec.MsgspecError, RecursionError, UnicodeDecodeError) as error:
        raise ForecastError(
            f"the weather service's answer could not be read ({error})", True
        ) from error
    if answer.properties is None:
        told = " ".join(
            str(part)[:80] for part in (answer.status, answer.title, answer.reason) if part
        )
        gone = answer.status == 404
        raise ForecastError(
            f"no answer from the weather service ({told or 'an answer without a forecast'})",
            not gone,
            gone=gone,
        )
    return answer


def _decoded(body: bytes) -> Any:
    try:
        return _in_form.decode(body)
    except msgspec.ValidationError:
        return _layers_unread.decode(body)


def cell_name(told: Any) -> CellName | None:
    """The cell an answer's properties name, None where they name none.

    Names go into addresses and file names, so anything but an office and two whole numbers is
    no name.
    """
    office, column, row = told.gridId, str(told.gridX), str(told.gridY)
    if not isinstance(office, str) or not _OFFICE.fullmatch(office):
        return None
    if not (_STEPS.fullmatch(column) and _STEPS.fullmatch(row)):
        return None
    zone = told.timeZone if isinstance(told.timeZone, str) else None
    return CellName(office, int(column), int(row), zone)


_Told = TypeVar("_Told")


def _part(raw: msgspec.Raw, form: type[_Told]) -> _Told | None:
    """A side piece of the answer, or None where it is missing or of another form."""
    try:
        return msgspec.json.decode(raw, type=form) if raw else None
    except (msgspec.MsgspecError, RecursionError, UnicodeDecodeError):
        return None


def elevation_ft(raw: msgspec.Raw) -> float:
    """Height of the cell above the sea [ft], NaN where it is not told."""
    height = _part(raw, _Length)
    if height is None:
        return float("nan")
    try:
        return height.value * to_house("length_ft", height.unit_code).factor
    except ValueError:
        return float("nan")


def outline(raw: msgspec.Raw) -> tuple[tuple[float, float], ...]:
    """The outer ring of the cell, (longitude, latitude) [deg], empty where it is not told."""
    shape = _part(raw, _Polygon)
    if shape is None or shape.type != "Polygon" or not shape.coordinates:
        return ()
    ring = shape.coordinates[0]
    if len(ring) < 4 or any(len(corner) < 2 for corner in ring):
        return ()
    return tuple((corner[0], corner[1]) for corner in ring)
