"""What is shown beside the calls: alerts, a further look, odds by an ensemble.

They are laid on a morning that is decided already, so that none of them can change a call.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

from agronomy.hourly_forecast import next_whole_hour
from dispatch.alert_figures import FreezeAlertFigures
from dispatch.field_figures import Factors, Figure
from dispatch.further_figures import FurtherFigures
from dispatch.member_odds import MemberOdds
from dispatch.report import FieldCall, MorningReport


class AlertsTold(Figure):
    """The alerts in force at a place; ``problem`` says why they are not known, or not all."""

    alerts: tuple[FreezeAlertFigures, ...] = ()
    problem: str = ""


@dataclass(frozen=True, eq=False)
class Asides:
    """What was learnt beside the forecast, by field; a field without an entry was not asked for."""

    alerts: Mapping[str, AlertsTold] = field(default_factory=dict)
    further: Mapping[str, FurtherFigures] = field(default_factory=dict)
    odds: Mapping[str, MemberOdds] = field(default_factory=dict)


#: Nothing was asked for.
NO_ASIDES = Asides()


def with_asides(report: MorningReport, asides: Asides) -> MorningReport:
    """The same morning, the same calls in the same order, with what is shown beside them.

    Fields beside the order are shown alerts alone.
    """
    made = report.run.made_utc
    fields = tuple(_with(one, asides, made) for one in report.fields)
    return report.model_copy(update={"fields": fields})


def _with(one: FieldCall, asides: Asides, made_utc: datetime) -> FieldCall:
    beside: dict[str, object] = {}
    alerts = asides.alerts.get(one.field.id)
    if alerts is not None:
        beside |= {"alerts": alerts.alerts, "alerts_problem": alerts.problem}
    if one.standing == "open":
        beside["further"] = asides.further.get(one.field.id)
        odds = asides.odds.get(one.field.id)
        if odds is not None:
            beside |= _odds(one, odds, made_utc)
    return one.model_copy(update=beside) if beside else one


def _odds(one: FieldCall, odds: MemberOdds, made_utc: datetime) -> dict[str, object]:
    """The odds at the hour the call rests on, else at the first that can still be sprayed in."""
    hour = one.factors_now.start_utc if one.factors_now else next_whole_hour(made_utc)
    chance = odds.at(odds.freeze_pct, hour)
    members = odds.at(odds.members, hour)
    freeze = one.freeze.model_copy(
        update={
            "ensemble_chance_7d_pct": chance,
            "ensemble_members": None if chance is None or members is None else int(members),
            "ensemble_source": odds.source,
            "ensemble_issued_utc": odds.issued_utc,
            "ensemble_problem": odds.problem or ("" if chance is not None else _NOT_SO_FAR),
        }
    )
    return {
        "freeze": freeze,
        "factors_now": _with_dry(one.factors_now, odds),
        "factors_back": _with_dry(one.factors_back, odds),
    }


_NOT_SO_FAR = "the members do not tell the seven days after the hour of the call"


def _with_dry(factors: Factors | None, odds: MemberOdds) -> Factors | None:
    if factors is None:
        return None
    dry = odds.at(odds.dry_pct, factors.start_utc)
    return factors.model_copy(update={"ensemble_dry_pct": dry})
