"""A cell's forecast as one small block of bytes, exact to the bit.

A block is a version byte and a deflated body: the length of its header, the header as JSON, and
the quantities as rows of little-endian 32-bit floats. The header names the quantities, so one
that is added later is unknown in blocks written before. Forecasts are rounded and repeat
themselves, which is why plain deflation beats sorting the bytes by place first.
"""

import json
import struct
import zlib
from datetime import UTC, datetime
from typing import Any

import numpy as np

from agronomy.hourly_forecast import QUANTITIES, CellForecast, Hours

#: First byte of a block.
VERSION = 1

_LENGTH = struct.Struct("<I")
_FLOAT = np.dtype("<f4")
_compact = json.JSONEncoder(separators=(",", ":"), allow_nan=False).encode


def packed(cell: CellForecast) -> bytes:
    """The forecast as a block.

    Raises
    ------
    ValueError
        A quantity is not a float32 array of the common length, or a time has no offset.
    """
    hours = len(cell.hourly["temp_f"])
    for name, values in cell.hourly.items():
        if values.dtype != np.float32 or values.shape != (hours,):
            raise ValueError(
                f"forecast of cell {cell.cell_id}: {name}: got {values.dtype} of shape "
                f"{values.shape}, wanted float32 of shape ({hours},)"
            )
    header = _compact(_header(cell, hours)).encode()
    matrix = np.stack(list(cell.hourly.values())).astype(_FLOAT, copy=False)
    body = _LENGTH.pack(len(header)) + header + matrix.tobytes()
    return bytes([VERSION]) + zlib.compress(body, 1)


def unpacked(block: bytes) -> CellForecast:
    """The forecast a block holds; quantities it does not name are NaN.

    Raises
    ------
    ValueError
        The block is damaged, or of a version not known here.
    """
    if block[:1] != bytes([VERSION]):
        raise ValueError(f"got a block of version {block[:1].hex() or 'none'}, wanted {VERSION}")
    try:
        body = zlib.decompress(block[1:])
    except zlib.error as fault:
        raise ValueError(f"the block is damaged: {fault}") from fault
    (length,) = _LENGTH.unpack_from(body)
    header = json.loads(body[_LENGTH.size : _LENGTH.size + length])
    hours, names = header["hours"], header["quantities"]
    matrix = np.frombuffer(body, _FLOAT, offset=_LENGTH.size + length).reshape(len(names), hours)
    rows = matrix.astype(np.float32)
    hourly: dict[str, Hours] = {
        name: np.full(hours, np.nan, dtype=np.float32) for name in QUANTITIES if name not in names
    }
    return _cell(header, hourly | dict(zip(names, rows, strict=True)))


def _header(cell: CellForecast, hours: int) -> dict[str, Any]:
    return {
        "cell_id": cell.cell_id,
        "source": cell.source,
        "issued": cell.issued_utc and _moment(cell.issued_utc),
        "fetched": _moment(cell.fetched_utc),
        "start": _moment(cell.start_utc),
        "elevation_ft": None if np.isnan(cell.elevation_ft) else float(cell.elevation_ft),
        "outline": cell.outline,
        "last_modified": cell.last_modified,
        "rejected": cell.rejected,
        "hours": hours,
        "quantities": list(cell.hourly),
    }


def _cell(header: dict[str, Any], hourly: dict[str, Hours]) -> CellForecast:
    elevation_ft = header["elevation_ft"]
    return CellForecast(
        cell_id=header["cell_id"],
        source=header["source"],
        issued_utc=header["issued"] and datetime.fromisoformat(header["issued"]),
        fetched_utc=datetime.fromisoformat(header["fetched"]),
        start_utc=datetime.fromisoformat(header["start"]),
        hourly=hourly,
        elevation_ft=float("nan") if elevation_ft is None else elevation_ft,
        outline=tuple((longitude, latitude) for longitude, latitude in header["outline"]),
        last_modified=header["last_modified"],
        rejected=tuple(header["rejected"]),
    )


def _moment(moment: datetime) -> str:
    if moment.tzinfo is None:
        raise ValueError(f"got {moment.isoformat()}, wanted a time with its offset from UTC")
    return moment.astimezone(UTC).isoformat()
