"""What a rig's printed sheet says: one day of one rig, for the person who drives it."""

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from agronomy.thresholds import SprayGates
from dispatch.routes.plan import PlannedDay, RoutePlan, Stop
from dispatch.words import LocalClock, amount, day, plural
from farm.field import Field
from farm.rig import Rig
from farm.treatment import Treatment
from notify.user_text import plain_line

CAUTIONS = (
    "The label is the law, and a licensed applicator decides. What counts is the wind where you "
    "stand, not a time on this page.",
    "Do not spray into an inversion: still air, smoke or dust that hangs, dew.",
    "Keep the re-entry time and the harvest interval of the label; those here are as the farm "
    "entered them.",
)

#: Stops from which a sheet is set smaller and closer, so that it stays on one page: seen in print
#: on A4 and Letter up to 28 stops, with a neighbour to mind at every third.
SIZES = ((16, "dense"), (10, "tiny"), (7, "small"), (0, "usual"))


@dataclass(frozen=True)
class FarmFacts:
    """What sheets need to know beside the plan, each by its id."""

    farm_name: str
    rigs: Mapping[str, Rig] = field(default_factory=dict)
    mixes: Mapping[str, Treatment] = field(default_factory=dict)
    fields: Mapping[str, Field] = field(default_factory=dict)
    gates: Mapping[str, SprayGates] = field(default_factory=dict)


@dataclass(frozen=True)
class SheetStop:
    """One row: the way to the field, its hours, what it takes, and what to mind there."""

    number: int
    name: str
    way: str
    come: str
    spray: str
    done: str
    by: str
    acres: str
    mix: str
    loads: str
    remarks: tuple[str, ...]
    sensitive: str


@dataclass(frozen=True)
class Sheet:
    """One page. ``size`` is the class of its type."""

    farm: str
    day: str
    rig: str
    driver: str
    totals: str
    home: str
    made: str
    air: str
    mixes: tuple[str, ...]
    stops: tuple[SheetStop, ...]
    cautions: tuple[str, ...]
    size: str


def rig_sheet(plan: RoutePlan, one: PlannedDay, facts: FarmFacts, clock: LocalClock) -> Sheet:
    """The sheet of one rig's day."""
    gates = [facts.gates[stop.field_id] for stop in one.stops if stop.field_id in facts.gates]
    usual = Counter(gates).most_common(1)[0][0] if gates else None
    home_mi = one.miles - sum(stop.miles for stop in one.stops)
    count = len(one.stops)
    return Sheet(
        farm=plain_line(facts.farm_name),
        day=day(one.on),
        rig=plain_line(one.rig_name),
        driver=plain_line(one.driver or ""),
        totals=(
            f"Out {clock.hour(one.leave_utc)}, back {clock.hour(one.back_utc)}; "
            f"{plural(count, 'field')}, {amount(one.acres)} ac, {amount(one.miles)} mi"
        ),
        home=f"Drive home {amount(max(0.0, home_mi))} mi, back {clock.hour(one.back_utc)}",
        made=_made(plan, clock),
        air=_air(usual) if usual else "Wind limits are not known here: take those of the label.",
        mixes=tuple(_mix(mix_id, facts) for mix_id in dict.fromkeys(s.mix_id for s in one.stops)),
        stops=tuple(_stop(one, place, facts, usual, clock) for place in range(count)),
        cautions=CAUTIONS,
        size=next(size for least, size in SIZES if count >= least),
    )


def _made(plan: RoutePlan, clock: LocalClock) -> str:
    at = plan.made_utc or plan.start_utc
    number = f"Plan {plan.revision}, made" if plan.revision else "Plan from"
    return f"{number} {day(clock.local(at).date())} {clock.hour(at)}. A later plan replaces it."


def _air(gates: SprayGates) -> str:
    return (
        f"Spray only in wind of {gates.wind_min_mph:g} to {gates.wind_max_mph:g} mph, gusts to "
        f"{gates.gust_max_mph:g}; from {amount(gates.after_sunrise_h)} h after sunrise to "
        f"{amount(gates.before_sunset_h)} h before sunset. A stricter label wins."
    )


def _mix(mix_id: str, facts: FarmFacts) -> str:
    mix = facts.mixes.get(mix_id)
    if mix is None:
        return f"{plain_line(mix_id)}: nothing is entered for it; read the label."
    rate = mix.gallons_per_acre
    entered = [
        "gallons an acre not entered" if rate is None else f"{rate:g} gal/ac",
        f"rain-free {amount(mix.rain_free_h)} h",
        _label("re-entry", mix.reentry_h, "h"),
        _label("before harvest", mix.preharvest_days, "days"),
    ]
    return f"{plain_line(mix.name)}: {', '.join(entered)}."


def _label(what: str, value: float | None, unit: str) -> str:
    return f"{what} not entered, read the label" if value is None else f"{what} {value:g} {unit}"


def _stop(
    one: PlannedDay, place: int, facts: FarmFacts, usual: SprayGates | None, clock: LocalClock
) -> SheetStop:
    stop = one.stops[place]
    mix, grown = facts.mixes.get(stop.mix_id), facts.fields.get(stop.field_id)
    by_yard = ", by the yard" if stop.by_yard and place else ""
    return SheetStop(
        number=place + 1,
        name=plain_line(stop.field_name),
        way=f"drive {amount(stop.miles)} mi, {stop.drive_min} min{by_yard}",
        come=clock.hour(stop.arrive_utc),
        spray=clock.hour(stop.start_utc),
        done=clock.hour(stop.end_utc),
        by=clock.hour(stop.by_utc) if stop.by_utc else "",
        acres=amount(stop.acres),
        mix=plain_line(mix.name if mix else stop.mix_id),
        loads=load_words(one, place, facts),
        remarks=tuple(_remarks(stop, facts.gates.get(stop.field_id), usual)),
        sensitive=plain_line(grown.sensitive or "") if grown else "",
    )


def _gallons(stop: Stop, facts: FarmFacts) -> float | None:
    mix = facts.mixes.get(stop.mix_id)
    rate = mix.gallons_per_acre if mix else None
    return None if rate is None else rate * stop.acres


def load_words(one: PlannedDay, place: int, facts: FarmFacts) -> str:
    """Gallons of the stop, and how its tanks are filled."""
    stop, rig = one.stops[place], facts.rigs.get(one.rig_id)
    gallons = _gallons(stop, facts)
    if gallons is None:
        return "gallons not known"
    if rig is None or rig.tank_gal is None:
        return f"{gallons:.0f} gal"
    if rig.refill_at == "field":
        return f"{gallons:.0f} gal: {_parts(gallons, rig.tank_gal)}"
    if not stop.by_yard:
        return f"{gallons:.0f} gal, from the tank"
    served = [stop]
    for later in one.stops[place + 1 :]:
        if later.by_yard:
            break
        served.append(later)
    load = sum(_gallons(each, facts) or 0.0 for each in served)
    also = f", for this and the next {len(served) - 1}" if len(served) > 1 else ""
    return f"{gallons:.0f} gal: fill {load:.0f} gal at the yard{also}"


def _parts(gallons: float, tank_gal: float) -> str:
    """Full tanks and what is left: ``2 x 800 + 120 gal``."""
    full = int(gallons / tank_gal + 1e-9)
    rest = gallons - full * tank_gal
    told = [f"{full} x {tank_gal:.0f}"] if full > 1 else [f"{tank_gal:.0f}"] * full
    if rest >= 0.5:
        told.append(f"{rest:.0f}")
    loads = full + (rest >= 0.5)
    return "one load" if loads <= 1 else f"loads {' + '.join(told)}"


def _remarks(stop: Stop, own: SprayGates | None, usual: SprayGates | None) -> Iterator[str]:
    if stop.state != "planned":
        yield "DONE" if stop.state == "done" else "UNDER WAY when this was planned"
    if stop.locked:
        yield "The time is fixed"
    if not stop.full:
        yield f"SHORT: {stop.lacks}" if stop.lacks else "SHORT"
    if stop.cleanout_min:
        yield f"Clean out before it, {stop.cleanout_min} min"
    if own is not None and usual is not None and own != usual:
        yield f"Here: {_air(own)}"
