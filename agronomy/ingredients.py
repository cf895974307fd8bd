"""What is printed about the active ingredients of harvest aids: hours without rain, cool weather.

Ingredients go by their ISO common names. What no source prints is not here: the label in the
user's hand gives it. The label also outranks everything here.
"""

from collections.abc import Iterable
from typing import NamedTuple

#: Univ. of Georgia Extension, Tattnall County, October 2015 (S20).
_TATTNALL = "Univ. of Georgia Extension, Tattnall County, 2015"
#: Hand, Univ. of Georgia Extension, Ben Hill County, October 2022 (S21).
_BEN_HILL = "Univ. of Georgia Extension, Ben Hill County, 2022"
#: Defoliation as temperatures begin to drop, mafg.net, year not shown (S39).
_COOL = "Defoliation as temperatures begin to drop, mafg.net"


class PrintedHours(NamedTuple):
    """Hours without rain that a source prints for one ingredient or for a pair of them [h]."""

    ingredients: frozenset[str]
    hours: float
    source: str

    def __str__(self) -> str:
        return f"{' + '.join(sorted(self.ingredients))} {self.hours:g} h"


class RainFree(NamedTuple):
    """Hours without rain of a mix [h], where they come from, and what no figure is printed for.

    ``hours`` is None, and ``source`` empty, where ``missing`` names an ingredient.
    """

    hours: float | None
    source: str
    missing: tuple[str, ...]


class TemperatureNote(NamedTuple):
    """What a source says of an ingredient in cool or hot weather.

    ``measured`` marks trials, the others are rules of thumb of extension people and consultants.
    """

    words: str
    source: str
    measured: bool = False


def _row(names: str, hours: float, source: str = _TATTNALL) -> PrintedHours:
    return PrintedHours(frozenset(names.split(" + ")), float(hours), source)


#: Printed hours without rain [h] (S20), the last one printed for a tank mix (S21): tribufos beside
#: thidiazuron takes its 24 hours down to 12.
RAIN_FREE = (
    _row("thidiazuron", 24),
    _row("ethephon", 6),
    _row("diuron + thidiazuron", 12),
    _row("tribufos", 1),
    _row("cyclanilide + ethephon", 6),
    _row("carfentrazone", 8),
    _row("pyraflufen-ethyl", 1),
    _row("carfentrazone + fluthiacet-methyl", 8),
    _row("paraquat", 0.5),
    _row("thidiazuron + tribufos", 12, _BEN_HILL),
)

#: Ingredients of harvest aids by ISO common name. Those without a row above have no printed hours.
KNOWN = frozenset(name for row in RAIN_FREE for name in row.ingredients) | {
    "dimethipin",
    "endothal",
    "flumiclorac-pentyl",
    "glyphosate",
    "saflufenacil",
    "sodium chlorate",
}

#: Other names of the same ingredient: the ester, acid or salt a label may name, or a spelling.
_ALSO = {
    "carfentrazone-ethyl": "carfentrazone",
    "endothall": "endothal",
    "flumiclorac": "flumiclorac-pentyl",
    "fluthiacet": "fluthiacet-methyl",
    "paraquat dichloride": "paraquat",
    "pyraflufen": "pyraflufen-ethyl",
}

_TRIAL_1997 = "Gwathmey and Hayes, J. Cotton Sci. 1:1-28, 1997"
_JUVENILE = TemperatureNote("still works on juvenile leaves in cooler weather", _COOL)
_STICKS = TemperatureNote(
    "more leaves stick in heat", "Whitaker and Collins, Univ. of Georgia options sheet"
)
_BEST_WARM = TemperatureNote("best above 60 F, slower below", _COOL)
_PROTOX = (_JUVENILE, _STICKS)

#: What is measured of all of them (S41b).
ANY_DEFOLIANT = TemperatureNote(
    "defoliants almost always lose effect towards 61 F",
    "abstract on conditioning cotton for defoliants, discovery.researcher.life",
    measured=True,
)

#: Notes by ingredient; where sources disagree both stand (S10b, S22b, S39 to S43).
_NOTES = {
    "thidiazuron": (
        TemperatureNote("very little activity once nights are below 65 F", _COOL),
        TemperatureNote(
            "used where nights stay above 53.6 F", "Australian consultants, CottonInfo"
        ),
        TemperatureNote(
            "best at 90/64 F day and night, poorest at 72/48 F and 104/66 F (growth chamber)",
            "Bartels et al., Univ. of Arizona P-94, 1993",
            measured=True,
        ),
    ),
    "diuron": (
        TemperatureNote(
            "with thidiazuron: loses less in cool weather than thidiazuron alone",
            "Dodds, Mississippi State, 2011",
        ),
        TemperatureNote("with thidiazuron: much less effective below 60 F", _COOL),
    ),
    "tribufos": (
        TemperatureNote("works below 65 F", "US EPA, tribufos reassessment, 2000"),
        TemperatureNote("much less effective below 60 F", _COOL),
        TemperatureNote("faster than thidiazuron in cool weather", _TRIAL_1997, measured=True),
    ),
    "dimethipin": (
        TemperatureNote("faster than thidiazuron in cool weather", _TRIAL_1997, measured=True),
    ),
    "carfentrazone": _PROTOX,
    "pyraflufen-ethyl": _PROTOX,
    "fluthiacet-methyl": _PROTOX,
    "saflufenacil": _PROTOX,
    "flumiclorac-pentyl": _PROTOX,
    "ethephon": (_BEST_WARM,),
    "cyclanilide": (_BEST_WARM,),
    "paraquat": (
        TemperatureNote(
            "evening sprays dried leaves better than morning ones; mind inversions",
            "Crop Science, 1999, College Station trials",
            measured=True,
        ),
    ),
}


def ingredient(name: str) -> str | None:
    """The ISO common name that ``name`` stands for, or None where it is not known here."""
    plain = " ".join(name.casefold().split())
    plain = _ALSO.get(plain, plain)
    return plain if plain in KNOWN else None


def printed_rain_free(ingredients: Iterable[str]) -> tuple[PrintedHours, ...]:
    """The printed rows that speak about a mix, longest first.

    A row for a pair stands in for the rows of its members: thidiazuron counts 12 hours beside
    diuron or tribufos, and 24 alone.
    """
    mix = {found for one in ingredients if (found := ingredient(one))}
    rows = [row for row in RAIN_FREE if row.ingredients <= mix]
    kept = [row for row in rows if not any(row.ingredients < other.ingredients for other in rows)]
    return tuple(sorted(kept, key=lambda row: -row.hours))


def rain_free_hours_of(ingredients: Iterable[str]) -> RainFree:
    """Hours without rain a mix needs after spraying, from what is printed for its ingredients [h].

    Parameters
    ----------
    ingredients
        ISO common names of every active ingredient in the tank.

    Returns
    -------
    RainFree
        The longest of the mix (S20, with the tank mix of S21). An ingredient that no source
        prints hours for, alone or as a member of a pair in this mix, is named in ``missing`` as
        it was given, and the hours are then None. No ingredients: None, nothing missing.

    Notes
    -----
    Names cannot tell one product with two ingredients from two products in one tank. The pairs
    are printed for products; a label that asks for more outranks them.

    Examples
    --------
    >>> rain_free_hours_of(["thidiazuron", "tribufos", "ethephon"]).hours
    12.0
    >>> rain_free_hours_of(["ethephon", "endothal"]).missing
    ('endothal',)
    """
    mix = tuple(ingredients)
    rows = printed_rain_free(mix)
    covered = {name for row in rows for name in row.ingredients}
    missing = tuple(one for one in mix if ingredient(one) not in covered)
    if missing or not rows:
        return RainFree(None, "", missing)
    hours = longest_of_mix(row.hours for row in rows)
    sources = dict.fromkeys(row.source for row in rows if row.hours == hours)
    named = ", ".join(str(row) for row in rows if row.hours == hours)
    return RainFree(hours, f"printed for {named}: {'; '.join(sources)}", ())


def longest_of_mix(intervals: Iterable[float | None]) -> float | None:
    """The interval that holds for a tank mix: the longest of its products'.

    Re-entry: 40 CFR 170.112 (text of 2007, since renumbered; S72); hours without rain and days
    to harvest are taken the same way. None where one is not known, or there are none.
    """
    told = tuple(intervals)
    known = [one for one in told if one is not None]
    return max(known) if known and len(known) == len(told) else None


def temperature_notes(name: str) -> tuple[TemperatureNote, ...]:
    """What is printed of an ingredient in cool and hot weather; empty where nothing was found."""
    return _NOTES.get(ingredient(name) or "", ())
