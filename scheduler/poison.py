"""A field that our own code stumbles over loses its call; everybody else keeps their morning."""

from collections.abc import Callable, Collection
from dataclasses import replace

from dispatch.report import Call, FieldCall, ForecastFigures, MaturityFigures, MorningReport
from farm.field import Field
from farm.records import Freeze
from scheduler.morning_inputs import MorningInputs

#: What makes the calls of a morning.
MakeCalls = Callable[[MorningInputs], tuple[MorningReport, tuple[Freeze, ...]]]

_WHY = "This program stumbled over the field, so it has no call."
_TO_DO = "Look at it yourself; whoever runs this system has been told."


def calls_apart(
    used: MorningInputs, make_calls: MakeCalls
) -> tuple[MorningReport, tuple[Freeze, ...], MorningInputs, tuple[str, ...]]:
    """The calls, with fields that cannot be called left not known.

    Also the freezes that only a forecast tells of, what the other calls were made from, and a
    line on each field that was left out.

    Raises
    ------
    Exception
        What `make_calls` raises where it is not single fields that raise it.
    """
    try:
        return (*make_calls(used), used, ())
    except Exception as fault:
        poison = _poison(used, used.farm.registered, make_calls)
        if not poison or len(poison) == len(used.farm.registered):
            raise
        said = f"{type(fault).__name__}: {fault}"
    rest = _only(used, [one for one in used.farm.registered if one.id not in poison])
    report, freezes = make_calls(rest)
    lost = [one for one in used.farm.registered if one.id in poison]
    lines = tuple(
        f"field {one.id}: no call could be made, a fault of ours ({said})" for one in lost
    )
    return _with_unknown(report, [_unknown(one, used) for one in lost]), freezes, rest, lines


def _poison(used: MorningInputs, fields: tuple[Field, ...], make_calls: MakeCalls) -> set[str]:
    """The fields that cannot be called even by themselves, found by halving."""
    try:
        make_calls(_only(used, fields))
    except Exception:
        if len(fields) == 1:
            return {fields[0].id}
        half = len(fields) // 2
        return _poison(used, fields[:half], make_calls) | _poison(used, fields[half:], make_calls)
    return set()


def _only(used: MorningInputs, fields: Collection[Field]) -> MorningInputs:
    kept = {one.id for one in fields}
    rows = {one: row for one, row in used.row_of.items() if one in kept}
    return replace(used, farm=replace(used.farm, registered=tuple(fields)), row_of=rows)


def _unknown(one: Field, used: MorningInputs) -> FieldCall:
    treatment = used.farm.rules[one.id].treatment
    return FieldCall(
        field=one,
        grower_name=used.farm.growers.get(one.grower_id, ""),
        treatment_name=treatment.name,
        call=Call.UNKNOWN,
        rig_hours=0.0,
        rain_free_needed_h=treatment.rain_free_h,
        maturity=MaturityFigures(state="unknown", reasons=(_WHY,)),
        forecast=ForecastFigures(),
        because=(_WHY,),
        reasons=(_WHY,),
        to_do=_TO_DO,
    )


def _with_unknown(report: MorningReport, lost: list[FieldCall]) -> MorningReport:
    counts = {**report.run.counts}
    counts[Call.UNKNOWN] = counts.get(Call.UNKNOWN, 0) + len(lost)
    figures = {"fields": report.run.fields + len(lost), "counts": counts}
    run = report.run.model_copy(update=figures)
    return MorningReport(run=run, fields=(*lost, *report.fields))
