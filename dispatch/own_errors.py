"""A farm's own errors of forecast lows, laid into the policy of a morning.

The errors reach the number behind the order and the odds that are shown, never a gate: ripeness,
wind, rain, the nights a window needs and the age of a forecast are judged without them. What they
can move is which mature fields with an open window wait for a better day, and the order. Where the
kept errors are lost, damaged, old, or of another source, the policy is the one of the settings:
nothing is called that the default errors would not call, and the morning says why.
"""

from collections.abc import Sequence
from datetime import date

from agronomy.own_low_errors import BlendedLead, OwnLowErrors, blended_own
from agronomy.season import season_start
from dispatch.own_error_figures import OwnErrorFigures, OwnErrorLead
from dispatch.policy import DispatchPolicy
from dispatch.report import MorningReport
from dispatch.words import day

#: Settings that hold an error table; any of them, written in a config, wins.
TABLE_SETTINGS = ("low_error_sd_f", "low_bias_f", "low_error_dof")

#: Seasons after its own in which a table still counts: forecasts change. Judgement.
SEASONS_KEPT = 1


def with_own_errors(
    policy: DispatchPolicy, kept: Sequence[OwnLowErrors], source: str, today: date
) -> tuple[DispatchPolicy, OwnErrorFigures | None]:
    """The policy a morning counts with, and what is told of it; None where nothing was kept.

    Parameters
    ----------
    policy
        As the settings give it, its ``model_fields_set`` naming what was written by hand.
    kept
        What was kept last of each source.
    source
        Whose forecast leads this morning.
    today
        The morning's date; what was kept of an older season is not used.
    """
    standing = [one for one in kept if one.leads and not one.forgotten]
    if not standing:
        return policy, None
    own = next((one for one in standing if one.source == source), standing[-1])
    told = OwnErrorFigures(source=own.source, kept_on=own.kept_utc.date(), last_on=own.last_on)
    by_hand = by_hand_words(policy)
    if by_hand:
        return policy, told.model_copy(update={"why_not": by_hand, "chosen": True})
    why = _not_fit(own, source, today)
    if why:
        return policy, told.model_copy(update={"why_not": why})
    table = blended_own(own.leads, policy.low_bias_f, policy.low_error_sd_f)
    blended = {
        "low_bias_f": tuple(one.bias_f for one in table),
        "low_error_sd_f": tuple(one.sd_f for one in table),
    }
    leads = tuple(_lead(one, policy) for one in table if one.weight_frac)
    return policy.model_copy(update=blended), told.model_copy(update={"leads": leads})


def not_readable(why: str) -> OwnErrorFigures:
    """What is told where kept errors are damaged or gone."""
    return OwnErrorFigures(why_not=why)


def by_hand_words(policy: DispatchPolicy) -> str:
    """Why the settings keep the farm's own errors out, "" where they do not."""
    if not policy.own_low_errors:
        return "[dispatch] own_low_errors is false"
    written = [one for one in TABLE_SETTINGS if one in policy.model_fields_set]
    return f"{' and '.join(written)} in [dispatch] win over them" if written else ""


def laid_on(report: MorningReport, told: OwnErrorFigures | None) -> MorningReport:
    """The report, saying with which errors it was counted."""
    if told is None:
        return report
    return report.model_copy(update={"run": report.run.model_copy(update={"own_low_errors": told})})


def _not_fit(own: OwnLowErrors, source: str, today: date) -> str:
    if own.source != source:
        return f"they are of {own.source}, and {source or 'no forecast'} leads"
    seasons = season_start(today).year - season_start(own.last_on).year
    if not 0 <= seasons <= SEASONS_KEPT:
        return f"they end on {day(own.last_on)} {own.last_on.year}, more than a season away"
    return ""


def _lead(one: BlendedLead, policy: DispatchPolicy) -> OwnErrorLead:
    dof = policy.low_error_dof[min(one.lead_days, len(policy.low_error_dof) - 1)]
    return OwnErrorLead(
        lead_days=one.lead_days,
        nights=one.nights,
        weight_frac=one.weight_frac,
        default_bias_f=one.default_bias_f,
        bias_f=one.bias_f,
        default_sd_f=one.default_sd_f,
        sd_f=one.sd_f,
        dof=dof,
        held=one.held,
    )
