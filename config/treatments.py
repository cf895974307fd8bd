"""Hours without rain of each mix: stated from the label, or taken from where they are printed."""

from collections.abc import Iterator

from agronomy.ingredients import (
    KNOWN,
    PrintedHours,
    ingredient,
    printed_rain_free,
    rain_free_hours_of,
)
from config.cross_checks import Fault, entries
from config.key_path import Path
from config.masked import shown
from config.nearest import did_you_mean, listed

#: Stands in for hours that are told missing, so that the validator does not tell it again; a
#: configuration with a fault is never used.
_ANY_HOURS = 96.0


def with_rain_free_hours(raw: dict[str, object]) -> tuple[dict[str, object], list[Fault]]:
    """``raw`` with the hours without rain of every mix that leaves them out, where printed.

    Parameters
    ----------
    raw
        The whole configuration as read; it is not changed.

    Returns
    -------
    raw : dict
        A copy whose treatments have ``rain_free_h`` and ``rain_free_source``.
    faults : list of (path, words)
        Mixes with an ingredient that no source prints hours for.
    """
    given = raw.get("treatments")
    if not isinstance(given, list):
        return raw, []
    faults: list[Fault] = []
    filled: list[object] = []
    for place, one in enumerate(given):
        path: Path = ("treatments", place)
        if not isinstance(one, dict):
            filled.append(one)
            continue
        if "rain_free_source" in one:
            words = "got an unknown key, wanted none; it is told by where rain_free_h comes from"
            faults.append(((*path, "rain_free_source"), f"{words}: delete it"))
        names = _names(one)
        filled.append(dict(one) if "rain_free_h" in one or not names else one | _printed(names))
        if "rain_free_h" not in one and (missing := rain_free_hours_of(names).missing):
            faults.append(((*path, "rain_free_h"), _unprinted(missing)))
    return raw | {"treatments": filled}, faults


def _names(entry: dict[str, object]) -> list[str]:
    given = entry.get("ingredients")
    return [one for one in given if isinstance(one, str)] if isinstance(given, list) else []


def _printed(names: list[str]) -> dict[str, object]:
    told = rain_free_hours_of(names)
    if told.hours is None:
        return {"rain_free_h": _ANY_HOURS}
    return {"rain_free_h": told.hours, "rain_free_source": told.source}


def _unprinted(missing: tuple[str, ...]) -> str:
    hints = [_hint(one) for one in missing]
    return (
        f"got nothing, and no source prints hours without rain for {listed(missing)}; enter the "
        f"longest on the labels of the mix{''.join(hint for hint in hints if hint)}"
    )


def _hint(name: str) -> str:
    near = "" if ingredient(name) else did_you_mean(name, KNOWN)
    return f" ({shown(name)}: {near})" if near else ""


def doubts_about_treatments(raw: dict[str, object]) -> Iterator[Fault]:
    """Ingredients that look misspelt, and hours stated shorter than the printed ones."""
    for place, one in enumerate(entries(raw, "treatments")):
        names = _names(one)
        for number, name in enumerate(names):
            near = "" if ingredient(name) else did_you_mean(name, KNOWN)
            if near:
                yield (
                    ("treatments", place, "ingredients", number),
                    f"got {shown(name)}, which is not known here by that name; {near}",
                )
        stated, printed = one.get("rain_free_h"), printed_rain_free(names)
        if isinstance(stated, (int, float)) and printed and stated < printed[0].hours:
            yield ("treatments", place, "rain_free_h"), _shorter(stated, printed[0])


def _shorter(stated: float, printed: PrintedHours) -> str:
    return (
        f"got {stated:g} h, printed are {printed} ({printed.source}); {stated:g} h counts: check "
        "it against the labels of the mix"
    )
