"""Fields to send rigs to, out of a morning: those called, not held, and still young enough."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from agronomy.hourly_forecast import next_whole_hour
from dispatch.report import Call, FieldCall, MorningReport
from dispatch.routes.plan import LeftOut
from dispatch.routes.problem import FieldJob
from dispatch.routes.settings import RouteSettings
from dispatch.routes.standing import NOTHING, Standing
from dispatch.routes.windows import field_windows
from dispatch.words import age, amount, plural
from farm.treatment import Treatment


@dataclass(frozen=True)
class Since:
    """What happened after the morning: the time now, and fields sprayed or frozen since.

    Forecasts older than ``age_no_spray_h`` by now send no rig anywhere [h].
    """

    now: datetime
    age_no_spray_h: float
    sprayed: frozenset[str] = field(default_factory=frozenset)
    frozen: frozenset[str] = field(default_factory=frozenset)
    standing: Standing = NOTHING

    @property
    def start_utc(self) -> datetime:
        """When the plan begins: the next full hour, or the next minute where rigs are out already.

        New sprays begin no sooner than the next full hour even then.
        """
        if self.standing.plan is None:
            return next_whole_hour(self.now)
        begun = timedelta(seconds=self.now.second, microseconds=self.now.microsecond)
        return self.now - begun + (timedelta(minutes=1) if begun else timedelta())


def called_jobs(
    report: MorningReport,
    treatments: Mapping[str, Treatment],
    settings: RouteSettings,
    since: Since,
) -> tuple[tuple[FieldJob, ...], tuple[LeftOut, ...]]:
    """Fields to plan in the order of the morning, and those called that must not be."""
    jobs, left = [], []
    for one in report.with_call(Call.SPRAY, Call.SHORT):
        if one.field.id in since.sprayed:
            continue
        stopped = kept_back(one, since)
        if stopped:
            left.append(left_out(one, *stopped))
            continue
        windows = (
            field_windows(
                one.season,
                since.start_utc,
                settings,
                short=settings.short_windows or one.call is Call.SHORT,
            )
            if one.season
            else ()
        )
        rate_gal_ac = _gallons_per_acre(one, treatments)
        jobs.append(
            FieldJob(
                field_id=one.field.id,
                name=one.field.name,
                latitude=one.field.entry[0],
                longitude=one.field.entry[1],
                acres=one.field.acres,
                mix_id=one.field.treatment_id,
                gallons=None if rate_gal_ac is None else one.field.acres * rate_gal_ac,
                windows=windows,
            )
        )
    return tuple(jobs), tuple(left)


def left_out(one: FieldCall, why: str, would_change: str) -> LeftOut:
    """A field of the morning that no rig comes to."""
    return LeftOut(
        field_id=one.field.id,
        field_name=one.field.name,
        acres=round(one.field.acres, 1),
        why=why,
        would_change=would_change,
    )


def kept_back(one: FieldCall, since: Since) -> tuple[str, str] | None:
    """Why a call of the morning does not stand now, and what would change that."""
    if one.held_for_harvest:
        return (
            "the harvest has no room for it today",
            "fields picked and logged, or a faster harvest ([harvest] acres_per_day)",
        )
    if one.field.id in since.frozen:
        return (
            "a killing freeze was logged since the morning",
            "an inspection, then a new morning",
        )
    if one.field.id in since.standing.skipped:
        why = since.standing.skipped[one.field.id]
        return (
            f"skipped: {why}" if why else "skipped",
            f"warmspell routes missed {one.field.id} puts it back",
        )
    issued = one.forecast.issued_utc
    age_h = None if issued is None else (since.now - issued).total_seconds() / 3600
    if age_h is None or age_h > since.age_no_spray_h:
        old = "not known" if age_h is None else age(age_h)
        return (
            f"its forecast is {old}, too old to send a rig on",
            "a new morning: warmspell morning --dry-run",
        )
    return None


def _gallons_per_acre(one: FieldCall, treatments: Mapping[str, Treatment]) -> float | None:
    mix = treatments.get(one.field.treatment_id)
    return mix.gallons_per_acre if mix else None


def morning_notes(
    report: MorningReport, jobs: tuple[FieldJob, ...], treatments: Mapping[str, Treatment]
) -> Iterator[str]:
    """What the plan does not hold, and what it could not reckon with."""
    unknown, look = (len(report.with_call(call)) for call in (Call.UNKNOWN, Call.LOOK))
    if unknown or look:
        yield (
            f"{plural(unknown, 'field')} without a call and {amount(look)} to walk are not "
            "planned; a field found mature goes into the next plan"
        )
    for mix_id in sorted({one.mix_id for one in jobs if one.gallons is None}):
        name = treatments[mix_id].name if mix_id in treatments else mix_id
        yield f"{name} has no gallons_per_acre entered: its tanks and refills are not counted"
