"""The counts of one scouting visit, checked."""

import math
from dataclasses import dataclass
from typing import Literal

CutTest = Literal["passed", "failed"]

#: Most nodes above cracked boll a plant can show. A plant has fewer than 30; from memory.
NACB_MOST = 40


@dataclass(frozen=True)
class Counts:
    """What one visit counted, checked; ``vetoes`` say why cutting forbids a mature verdict."""

    nacb: float | None
    percent_open: float | None
    cut_test: CutTest | None
    cut_words: str
    vetoes: tuple[str, ...]
    windshield: bool


def checked_counts(
    *,
    nacb: float | None,
    percent_open: float | None,
    bolls_cut: int | None,
    bolls_cut_mature: int | None,
    vegetative_bolls_cut: int | None,
    vegetative_bolls_mature: int | None,
    windshield: bool,
) -> Counts:
    """The counts of a visit; an impossible one is refused by name (parameters as in `judge`)."""
    cut = _cut_test("bolls_cut", bolls_cut, "bolls_cut_mature", bolls_cut_mature)
    vegetative = _cut_test(
        "vegetative_bolls_cut",
        vegetative_bolls_cut,
        "vegetative_bolls_mature",
        vegetative_bolls_mature,
    )
    return Counts(
        nacb=_checked("nacb", nacb, NACB_MOST),
        percent_open=_checked("percent_open", percent_open, 100),
        cut_test=cut,
        cut_words=f"{bolls_cut_mature} of {bolls_cut} cut bolls mature" if cut else "",
        vetoes=(
            *_veto("cut bolls", cut, bolls_cut, bolls_cut_mature),
            *_veto(
                "cut bolls on vegetative branches",
                vegetative,
                vegetative_bolls_cut,
                vegetative_bolls_mature,
            ),
        ),
        windshield=windshield,
    )


def _cut_test(cut_name: str, cut: int | None, name: str, mature: int | None) -> CutTest | None:
    _checked(cut_name, cut, math.inf)
    _checked(name, mature, math.inf)
    if mature is not None and mature > (cut or 0):
        raise ValueError(
            f"{name}: got {mature} of {cut or 0} cut, wanted at most {cut_name}; check the sheet"
        )
    if not cut or mature is None:
        return None
    return "passed" if mature == cut else "failed"


def _veto(what: str, test: CutTest | None, cut: int | None, mature: int | None) -> tuple[str, ...]:
    if test == "failed":
        return (f"only {mature} of {cut} {what} mature",)
    # Cut and not written down may hide a green boll: less information must not make it mature.
    return (f"{cut} {what}, result not written down",) if cut and mature is None else ()


def _checked(name: str, value: float | None, most: float) -> float | None:
    if value is not None and not 0 <= value <= most:
        wanted = "0 or more" if math.isinf(most) else f"0 to {most:g}"
        raise ValueError(f"{name}: got {value:g}, wanted {wanted}, or None; check the sheet")
    return value


def number(value: float) -> str:
    """A figure for a sentence, at most two decimals."""
    return f"{round(value, 2):g}"
