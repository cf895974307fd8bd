"""What was shown beside the calls of a morning, kept so that the morning comes out again whole.

Odds by members are kept by the hour, each set of them once, as blocks of deflated 32-bit floats:
which hour they are read at follows from the call.
"""

import zlib
from base64 import b64decode, b64encode
from collections.abc import Callable, Mapping
from datetime import datetime
from typing import Any

import numpy as np

from dispatch.asides import AlertsTold, Asides
from dispatch.further_figures import FurtherFigures
from dispatch.member_odds import MemberOdds

Kept = dict[str, Any]

_FLOAT = np.dtype("<f4")


def kept_asides(asides: Asides) -> Kept:
    """The asides as plain JSON, with what several fields share kept once."""
    parts = {
        "alerts": _shared(asides.alerts, _dumped),
        "further": _shared(asides.further, _dumped),
        "odds": _shared(asides.odds, _kept_odds),
    }
    return {name: part for name, part in parts.items() if part["of"]}


def read_asides(kept: Mapping[str, Any]) -> Asides:
    """The asides read back; nothing where nothing was kept."""
    return Asides(
        alerts=_unshared(kept.get("alerts"), AlertsTold.model_validate),
        further=_unshared(kept.get("further"), FurtherFigures.model_validate),
        odds=_unshared(kept.get("odds"), _read_odds),
    )


def _shared(by_field: Mapping[str, Any], keep: Callable[[Any], Kept]) -> Kept:
    told: list[Kept] = []
    of: dict[str, int] = {}
    for name, one in by_field.items():
        kept = keep(one)
        if kept not in told:
            told.append(kept)
        of[name] = told.index(kept)
    return {"told": told, "of": of}


def _unshared(kept: Kept | None, read: Callable[[Any], Any]) -> dict[str, Any]:
    if kept is None:
        return {}
    told = [read(one) for one in kept["told"]]
    return {name: told[place] for name, place in kept["of"].items()}


def _dumped(figures: AlertsTold | FurtherFigures) -> Kept:
    return figures.model_dump(mode="json")


def _kept_odds(odds: MemberOdds) -> Kept:
    rows = np.stack([odds.freeze_pct, odds.dry_pct, odds.members]).astype(_FLOAT)
    return {
        "source": odds.source,
        "issued": None if odds.issued_utc is None else odds.issued_utc.isoformat(),
        "start": odds.start_utc.isoformat(),
        "problem": odds.problem,
        "hours": rows.shape[1],
        "block": b64encode(zlib.compress(rows.tobytes(), 9)).decode(),
    }


def _read_odds(kept: Mapping[str, Any]) -> MemberOdds:
    flat = np.frombuffer(zlib.decompress(b64decode(kept["block"])), _FLOAT)
    freeze, dry, members = flat.astype(np.float32).reshape(3, kept["hours"])
    issued = kept["issued"]
    return MemberOdds(
        source=kept["source"],
        issued_utc=None if issued is None else datetime.fromisoformat(issued),
        start_utc=datetime.fromisoformat(kept["start"]),
        freeze_pct=freeze,
        dry_pct=dry,
        members=members,
        problem=kept["problem"],
    )
