"""Scores of forecasts as tables of text."""

from collections.abc import Sequence

from agronomy.forecast_scores import OddsScores
from agronomy.own_low_errors import NEAR_FREEZING_F
from dispatch.words import day, plural
from scheduler.own_error_lines import own_error_lines
from scheduler.promised_windows import Promise, WindowScores
from scheduler.section import Section, fact
from scheduler.show_sections import show_sections
from scheduler.verified import ERRORS_MIN, ODDS_MIN, LeadErrors, LeadOdds, SourceScores, Verified
from scheduler.verified_words import blended_words, policy_lines

ERROR_HEADERS = ("days ahead", "nights", "n", "bias", "mean error", "rms error", "")
ODDS_HEADERS = ("days ahead", "nights", "n", "came", "Brier", "always the share", "")
BIN_HEADERS = ("odds told", "n", "told", "came", "95 in 100 between", "")


def show_verified(told: Verified) -> None:
    """Write everything ``verify`` tells to stdout."""
    sections = [_head(told)]
    for one in told.sources:
        sections += _source(one)
    sections.append(_windows(told.windows, told.unread))
    show_sections([one for one in sections if one.lines or one.rows])


def _head(told: Verified) -> Section:
    lines = [fact("observed", place.words) for place in told.places]
    lines += [
        fact(
            "forecasts",
            f"{one.source}, {plural(one.issues, 'morning')}"
            + (
                f", {day(one.first_on)} to {day(one.last_on)}"
                if one.first_on and one.last_on
                else ""
            ),
        )
        for one in told.sources
    ]
    if not told.sources:
        lines.append(
            fact("forecasts", "none kept for this place yet; they are kept as mornings run")
        )
    lines.append("")
    lines.append(
        "One forecast a day, the first fetched. Bias is forecast minus observed: above 0 it was "
        "too warm."
    )
    lines.append("A low is that of the night that ends on its date.")
    return Section("Forecasts against what was observed", tuple(lines))


def _source(one: SourceScores) -> list[Section]:
    return [
        _errors(f"Lows [F], {one.source}", one.lows),
        _errors("Highs [F]", one.highs),
        _errors("Wind, 8 am to 6 pm by the hour [mph]", one.wind),
        _odds("Odds of a freeze, night by night", one.freeze, one.freeze_week),
        _bins("Odds of a freeze against what came", one.freeze[-1]),
        _odds("Chance of rain, day by day", one.rain),
        _bins("Chance of rain against what came", one.rain[-1]),
        _own_errors(one),
    ]


def _errors(title: str, leads: Sequence[LeadErrors]) -> Section:
    rows = tuple(_error_row(one) for one in leads if one.scores.n)
    return Section(title, _left_out(leads) if rows else (), ERROR_HEADERS, rows)


def _error_row(one: LeadErrors) -> tuple[str, ...]:
    lead, nights, n = str(one.lead_days), str(one.nights), str(one.scores.n)
    if one.nights < ERRORS_MIN:
        return (lead, nights, n, "", "", "", too_few(one.nights))
    scores = one.scores
    return (lead, nights, n, f"{scores.bias:.1f}", f"{scores.mae:.1f}", f"{scores.rmse:.1f}", "")


def too_few(nights: int) -> str:
    """What stands in place of numbers that would look firmer than they are."""
    return f"n = {plural(nights, 'night')}, too few to judge"


def _left_out(leads: Sequence[LeadErrors] | Sequence[LeadOdds]) -> tuple[str, ...]:
    left = sum(one.scores.left_out for one in leads)
    return (f"{left} told but not observed, so not counted.",) if left else ()


def _odds(title: str, leads: Sequence[LeadOdds], week: LeadOdds | None = None) -> Section:
    rows = [_odds_row(str(one.lead_days), one) for one in leads[:-1] if one.scores.n]
    if rows:
        rows.append(_odds_row("all", leads[-1]))
    if week is not None and week.scores.n:
        rows.append(_odds_row("any of 7", week))
    lines = (*_left_out(leads[:-1]), "Brier: 0 is best, 0.25 is a coin's.") if rows else ()
    return Section(title, lines, ODDS_HEADERS, tuple(rows))


def _odds_row(lead: str, one: LeadOdds) -> tuple[str, ...]:
    scores = one.scores
    if one.nights < ODDS_MIN:
        return (lead, str(one.nights), str(scores.n), "", "", "", too_few(one.nights))
    return (
        lead,
        str(one.nights),
        str(scores.n),
        f"{100 * scores.base_rate_frac:.0f} %",
        f"{scores.brier:.3f}",
        f"{scores.base_rate_brier:.3f}",
        "",
    )


def _bins(title: str, one: LeadOdds) -> Section:
    if one.nights < ODDS_MIN:
        return Section(title, ())
    lines = ("Days ahead of one night go together, so the spans are narrower than they should be.",)
    return Section(title, lines, BIN_HEADERS, tuple(_bin_rows(one.scores)))


def _bin_rows(scores: OddsScores) -> list[tuple[str, ...]]:
    table = scores.reliability
    rows: list[tuple[str, ...]] = []
    for place, n in enumerate(table.n.tolist()):
        if not n:
            continue
        edges = f"{100 * table.from_frac[place]:.0f}-{100 * table.to_frac[place]:.0f} %"
        if n < ERRORS_MIN:
            rows.append((edges, str(n), f"{100 * table.told_frac[place]:.0f} %", "", "", "too few"))
            continue
        rows.append(
            (
                edges,
                str(n),
                f"{100 * table.told_frac[place]:.0f} %",
                f"{100 * table.came_frac[place]:.0f} %",
                f"{100 * table.low_frac[place]:.0f}-{100 * table.high_frac[place]:.0f} %",
                "",
            )
        )
    return rows


def _own_errors(one: SourceScores) -> Section:
    if not any(lead.nights for lead in one.low_errors):
        return Section("", ())
    least, most = NEAR_FREEZING_F
    lines = [
        f"Forecast lows of {least:g} to {most:g} F, as in the default table of errors.",
        *(
            fact(f"{plural(lead.lead_days, 'day')} ahead", blended_words(lead))
            for lead in one.low_errors
        ),
    ]
    toml = policy_lines(one.low_errors)
    if toml:
        ways = "To count with the blend, say --keep here, or put this in farm.toml, which wins:"
        lines += ["", ways, *(f"  {t}" for t in toml)]
    lines += ["", *own_error_lines(one.own_errors)] if one.own_errors else []
    return Section("This farm's own errors of lows", tuple(lines))


def _windows(told: WindowScores, unread: int) -> Section:
    title = "How often a promised window held"
    left = (f"{plural(unread, 'morning')} of another version cannot be read.",) if unread else ()
    if not told.windows:
        none = "No full window has been promised here in a morning that was sent."
        return Section(title, (none, *left))
    lines = (
        fact("full windows promised", str(told.windows)),
        fact("nights without a freeze", _promise(told.nights)),
        fact("rain-free hours", _promise(told.dry)),
        "Fields of one cell share their weather: mornings count, not windows.",
        *left,
    )
    return Section(title, lines)


def _promise(one: Promise) -> str:
    told = f"held {one.held} of {one.known}, on {plural(one.mornings, 'morning')}"
    if one.mornings < ERRORS_MIN:
        told = f"n = {plural(one.mornings, 'morning')}, too few to judge"
        told += f" ({one.held} of {one.known} held)" if one.known else ""
    rest = [
        f"{count} {words}"
        for count, words in ((one.not_known, "not observed"), (one.not_over, "not over yet"))
        if count
    ]
    return told + (f"; not counted: {', '.join(rest)}" if rest else "")
