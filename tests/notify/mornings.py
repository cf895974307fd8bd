"""Invented mornings for the tests of what people are told."""

from datetime import UTC, date, datetime, timedelta
from typing import Any
from uuid import UUID

from dispatch.report import (
    Call,
    FieldCall,
    FollowUp,
    ForecastFigures,
    FreezeFigures,
    HourStrip,
    MaturityFigures,
    MorningReport,
    RunFigures,
    Window,
)
from farm.field import Field
from farm.people import Person, Role
from farm.records import Spray

ZONE = "America/Chicago"
#: Tue 6 Oct 2026, 6:05 am in Chicago.
MADE = datetime(2026, 10, 6, 11, 5, tzinfo=UTC)
TODAY = date(2026, 10, 6)
STOP = "To stop these mails: answer this mail with the word STOP."


def at(day: int, hour: int, month: int = 10) -> datetime:
    """A moment of October 2026 by the clock in Chicago (UTC-5 in October)."""
    return datetime(2026, month, 1, hour, tzinfo=UTC) + timedelta(days=day - 1, hours=5)


def field(number: int, name: str, grower_id: str, acres: float = 100.0, zone: str = ZONE) -> Field:
    return Field(
        id=f"f{number}",
        name=name,
        grower_id=grower_id,
        latitude=35.0,
        longitude=-99.0,
        acres=acres,
        time_zone=zone,
        treatment_id="early",
    )


def visit(state: str = "mature", nacb: float | None = 3.2, **more: Any) -> MaturityFigures:
    return MaturityFigures(
        state=state,
        nodes_above_cracked_boll=nacb,
        percent_open=more.pop("percent_open", 64.0),
        plants_counted=12,
        visited_utc=at(4, 10),
        visit_age_days=1.8,
        scout="Ines Ruhl",
        **more,
    )


def fresh(**more: Any) -> ForecastFigures:
    return ForecastFigures(
        **{
            "source": "US National Weather Service",
            "cell_id": "nws:OUN/1,2",
            "issued_utc": MADE - timedelta(hours=3),
            "age_h": 3.0,
            "age_mark": "fresh",
            **more,
        }
    )


def freeze(**more: Any) -> FreezeFigures:
    return FreezeFigures(
        **{
            "chance_7d_pct": 8.0,
            "killing_chance_7d_pct": 2.0,
            "known_through_utc": at(12, 18),
            "low_f": 34.4,
            "low_utc": at(12, 7),
            **more,
        }
    )


def window(day: int, first: int, last: int, **more: Any) -> Window:
    return Window(
        **{
            "start_utc": at(day, first),
            "end_utc": at(day, last),
            "best_utc": at(day, first),
            "effect_pct": 91.0,
            "full": True,
            "dry_h": 31.0,
            "wind_low_mph": 5.0,
            "wind_high_mph": 8.2,
            "wind_from": "S",
            **more,
        }
    )


def strip() -> HourStrip:
    spray = ("no",) * 4 + ("full",) * 7 + ("no",) * 15 + ("partial",) * 6 + ("unknown",) * 6
    return HourStrip(
        start_utc=at(6, 6),
        spray=spray,
        why_not=("too soon after sunrise",) * 4 + ("",) * 7 + ("dark",) * 15 + ("rain",) * 12,
        temp_f=(60.0,) * 38,
        wind_mph=(6.0,) * 38,
        rain_chance_pct=(10.0,) * 38,
    )


def call(one: Field, verdict: Call, grower: str, **more: Any) -> FieldCall:
    return FieldCall(
        **{
            "field": one,
            "grower_name": grower,
            "treatment_name": "Early mix",
            "call": verdict,
            "rig_hours": 4.1,
            "rain_free_needed_h": 24.0,
            "maturity": visit(),
            "forecast": fresh(),
            "freeze": freeze(),
            "because": more.get("reasons", ()),
            **more,
        }
    )


def spray(one: Field, grower: str, rank: int, **more: Any) -> FieldCall:
    return call(
        one,
        Call.SPRAY,
        grower,
        **{
            "rank": rank,
            "effect_pct": max(9.2, 91.2 - 4 * rank),
            "back_of_line_pct": max(3.4, 63.4 - 3 * rank),
            "back_of_line_on": date(2026, 10, 11),
            "windows": (window(6, 10, 17), window(7, 11, 16, dry_to_sight_end=True)),
            "spray_by_utc": at(8, 14),
            "spray_by_bound": "weather",
            "heat_units_7d_f_days": 58.3,
            "strip": strip(),
            "reasons": (
                "Going to the back of the line would cost 28 points, about 33 acres' worth",
                "Rain is likely from Thu evening (70 in 100)",
                "The week after is 9F cooler",
                "Ties broken by the earlier spray-by time",
            ),
            **more,
        },
    )


def short(one: Field, grower: str, rank: int) -> FieldCall:
    return call(
        one,
        Call.SHORT,
        grower,
        rank=rank,
        effect_pct=58.0,
        back_of_line_pct=36.0,
        back_of_line_on=date(2026, 10, 15),
        windows=(window(6, 9, 12, full=False, dry_h=17.0),),
        freeze=freeze(first_utc=at(11, 5), killing_utc=at(12, 4), chance_7d_pct=71.0, low_f=27.6),
        heat_units_7d_f_days=41.0,
        strip=strip(),
        reasons=(
            "5 of 7 days before the freeze; gives up about 22 of 100",
            "Overripe already: NACB 1.0",
        ),
    )


def unknown(one: Field, grower: str, **more: Any) -> FieldCall:
    return call(
        one,
        Call.UNKNOWN,
        grower,
        **{
            "forecast": fresh(
                issued_utc=MADE - timedelta(hours=37),
                age_h=37.0,
                age_mark="very_old",
                problem="the weather service did not answer",
            ),
            "freeze": FreezeFigures(),
            "reasons": ("No forecast since Sun 5 pm",),
            "to_do": "Look at the sky yourself; next try 9 am",
            **more,
        },
    )


def look(one: Field, grower: str, **more: Any) -> FieldCall:
    return call(
        one,
        Call.LOOK,
        grower,
        **{
            "maturity": visit("nearly", 5.1, percent_open=47.0),
            "reasons": ("Waiting costs about 9 acres",),
            "place_if_mature": 2,
            "to_do": "Cut the top bolls",
            **more,
        },
    )


def wait(one: Field, grower: str, ready_day: int = 12) -> FieldCall:
    maturity = visit(
        "not_yet",
        7.4,
        percent_open=22.0,
        ready_on=date(2026, 10, ready_day),
        ready_on_earliest=date(2026, 10, ready_day - 2),
        ready_on_latest=date(2026, 10, ready_day + 3),
        look_again_on=date(2026, 10, ready_day - 3),
    )
    return call(
        one,
        Call.WAIT,
        grower,
        maturity=maturity,
        reasons=("7.4 nodes above the cracked boll, mature at 4",),
        to_do="Count it again before the weekend",
    )


def sprayed(one: Field, grower: str, *, due_today: bool) -> FieldCall:
    applied = Spray(
        uuid=UUID(int=7), field_id=one.id, sprayed_utc=at(29, 15, month=9), treatment_id="early"
    )
    first = TODAY if due_today else date(2026, 10, 9)
    return call(
        one,
        Call.WAIT,
        grower,
        follow_up=FollowUp(
            spray=applied,
            treatment_name="Early mix",
            days_since=6.6,
            check_first_on=first,
            check_second_on=date(2026, 10, 13),
            due_today=due_today,
        ),
    )


def morning(*fields: FieldCall, **more: Any) -> MorningReport:
    figures = {
        "farm_name": "Sandhill Co-op",
        "time_zone": ZONE,
        "made_utc": MADE,
        "local_date": TODAY,
        "fields": len(fields),
        "counts": {one: sum(made.call is one for made in fields) for one in Call},
        "sprayed": sum(made.standing == "sprayed" for made in fields),
        "frozen": sum(made.standing == "frozen" for made in fields),
        "picked": sum(made.standing == "picked" for made in fields),
        "held": sum(made.held_for_harvest for made in fields),
        "queue_days": 5,
        "queue_rig_hours": 41.0,
        "usable_rig_hours_a_day": 8.0,
        "rigs": 2,
        "span_h": 36,
        "policy_version": "1",
        **more,
    }
    return MorningReport(run=RunFigures(**figures), fields=fields)


def full_morning() -> MorningReport:
    """One or more fields of every call, two growers, names that try to break things."""
    return morning(
        unknown(field(1, "Cottonwood 3", "ruhl"), "Ruhl & Sons"),
        spray(field(2, "O'Dell's North Draw", "odell", 118), "T. O'Dell", 1),
        spray(field(3, "<img src=x onerror=alert(1)>", "ruhl", 80.5), "Ruhl & Sons", 2),
        spray(
            field(4, "Long Bottom", "odell", 130),
            "T. O'Dell",
            3,
            spray_by_bound="sight",
            spray_by_utc=at(14, 16),
            freeze=freeze(known_through_utc=at(13, 6), low_f=38.9),
        ),
        short(field(5, "Mill Quarter", "odell", 96), "T. O'Dell", 4),
        look(field(6, "East Pivot", "odell"), "T. O'Dell"),
        look(field(7, "Gin Road", "ruhl"), "Ruhl & Sons"),
        *(wait(field(10 + n, f"West {80 + n}", "ruhl"), "Ruhl & Sons", 9 + n) for n in range(9)),
        sprayed(field(30, "Home Place", "odell"), "T. O'Dell", due_today=True),
        sprayed(field(31, "Tank Field", "ruhl"), "Ruhl & Sons", due_today=False),
    )


def person(role: Role, **more: Any) -> Person:
    return Person(
        **{
            "id": f"p-{role}",
            "name": "Bea Marsh",
            "role": role,
            "email": "bea@example.com",
            "phone": "+15550100",
            "grower_ids": ("odell",) if role is Role.GROWER else (),
            **more,
        }
    )
