"""Scores of forecasts as `warmspell verify` told them, read back as tables."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from pydantic import AliasChoices, BaseModel, ConfigDict, Field, ValidationError

from dispatch.words import day, plural
from storage.verification_store import Verification
from web.units import Kind, Units, turned, unit

#: What stands where there are too few nights for a figure that would look firm.
TOO_FEW = "too few to judge"


class _Scores(BaseModel):
    # Keys that later versions add are passed over.
    model_config = ConfigDict(frozen=True, extra="ignore")


class ErrorScore(_Scores):
    """Errors of one number of days ahead, in the unit of what was told."""

    lead_days: int
    nights: int
    n: int
    enough: bool
    bias: float | None = Field(validation_alias=AliasChoices("bias_f", "bias_mph"))
    mae: float | None = Field(validation_alias=AliasChoices("mae_f", "mae_mph"))
    rmse: float | None = Field(validation_alias=AliasChoices("rmse_f", "rmse_mph"))


class Bin(_Scores):
    """What came for some odds, all in 100."""

    from_pct: float
    to_pct: float
    n: int
    enough: bool
    told_pct: float
    came_pct: float
    came_low_pct: float
    came_high_pct: float


class OddsScore(_Scores):
    """Odds of one number of days ahead; None for all of them, which alone has bins."""

    lead_days: int | None
    nights: int
    n: int
    enough: bool
    brier: float | None
    base_rate_pct: float | None
    base_rate_brier: float | None
    reliability: tuple[Bin, ...]


class FreezeScores(_Scores):
    """Odds of a freeze, night by night and over seven nights."""

    nights: tuple[OddsScore, ...]
    seven_nights: OddsScore


class RainScores(_Scores):
    """Chances of rain, day by day."""

    days: tuple[OddsScore, ...]


class SourceScore(_Scores):
    """One source of forecasts."""

    source: str
    issues: int
    first_on: date | None
    last_on: date | None
    lows: tuple[ErrorScore, ...]
    highs: tuple[ErrorScore, ...]
    wind: tuple[ErrorScore, ...]
    freeze_odds: FreezeScores
    rain_odds: RainScores


class Promised(_Scores):
    """How often what a window promised came."""

    held: int
    broken: int
    not_over: int
    not_known: int
    mornings: int
    enough: bool


class Windows(_Scores):
    """Windows that were promised."""

    windows: int
    no_freeze: Promised
    rain_free: Promised


class Observed(_Scores):
    """Whose observations they were held against, and at which field."""

    words: str
    field_id: str


class Scores(_Scores):
    """Everything that was found."""

    observed: tuple[Observed, ...]
    mornings: int
    sources: tuple[SourceScore, ...]
    windows: Windows


@dataclass(frozen=True)
class ScoreTable:
    """Figures under ``headers``, each row begun by what it is of."""

    title: str
    headers: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def read_scores(kept: Verification) -> Scores | None:
    """The scores; None where they were kept in another form."""
    try:
        return Scores.model_validate(kept.scores)
    except ValidationError:
        return None


def error_table(name: str, scores: Sequence[ErrorScore], kind: Kind, units: Units) -> ScoreTable:
    """Errors by days ahead, in the reader's units."""
    headers = ("days ahead", "nights", "bias", "mean error", "rms error")
    rows = [
        (
            *(str(one.lead_days), str(one.nights)),
            *_figures(one.enough, [one.bias, one.mae, one.rmse], kind, units),
        )
        for one in scores
        if one.n
    ]
    return ScoreTable(f"{name} [{unit(kind, units)}]", headers, tuple(rows))


def odds_table(
    title: str, scores: Sequence[OddsScore], week: OddsScore | None = None
) -> ScoreTable:
    """How far odds could be trusted, by days ahead."""
    named = [("all" if one.lead_days is None else str(one.lead_days), one) for one in scores]
    named += [("any of 7", week)] if week is not None else []
    rows = [
        (
            name,
            str(one.nights),
            *(
                (
                    f"{one.base_rate_pct:.0f} in 100",
                    f"{one.brier:.3f}",
                    f"{one.base_rate_brier:.3f}",
                )
                if one.enough and None not in (one.base_rate_pct, one.brier, one.base_rate_brier)
                else (TOO_FEW, "", "")
            ),
        )
        for name, one in named
        if one.n
    ]
    headers = ("days ahead", "nights", "it came", "Brier", "always the share")
    return ScoreTable(title, headers, tuple(rows))


def bin_table(title: str, one: OddsScore) -> ScoreTable:
    """What came for each tenth of the odds; no row where there are too few nights."""
    headers = ("odds", "cases", "told", "came", "95 in 100 between")
    rows = [
        (
            f"{each.from_pct:.0f}-{each.to_pct:.0f}",
            str(each.n),
            f"{each.told_pct:.0f}",
            f"{each.came_pct:.0f}" if each.enough else TOO_FEW,
            f"{each.came_low_pct:.0f}-{each.came_high_pct:.0f}" if each.enough else "",
        )
        for each in (one.reliability if one.enough else ())
    ]
    return ScoreTable(title, headers, tuple(rows))


def promise_line(name: str, one: Promised) -> str:
    """How often one promise of the windows held."""
    known = one.held + one.broken
    if not known and not one.not_over and not one.not_known:
        return f"{name}: none promised yet."
    told = f"held {one.held} of {known}, on {plural(one.mornings, 'morning')}"
    few = "" if one.enough else f", {TOO_FEW}"
    rest = [
        f"{count} {words}"
        for count, words in ((one.not_known, "not observed"), (one.not_over, "not over yet"))
        if count
    ]
    return f"{name}: {told}{few}{'; not counted: ' + ', '.join(rest) if rest else ''}."


def apart(value: float, kind: Kind, units: Units) -> float:
    """A difference of two figures in the reader's units: 9 F are 5 C."""
    return turned(value, kind, units) - turned(0.0, kind, units)


def _figures(
    enough: bool, values: Sequence[float | None], kind: Kind, units: Units
) -> tuple[str, ...]:
    if not enough or None in values:
        return (TOO_FEW, *("" for _ in values[1:]))
    return tuple(f"{apart(value, kind, units):.1f}" for value in values if value is not None)


def span_words(one: SourceScore) -> str:
    """How many mornings of a source were held against what came, and which."""
    told = f"{one.source}, {plural(one.issues, 'morning')}"
    if one.first_on is None or one.last_on is None:
        return told
    return f"{told}, {day(one.first_on)} to {day(one.last_on)}"
