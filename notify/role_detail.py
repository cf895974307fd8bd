"""How much of a morning each role is shown."""

from dataclasses import dataclass

from farm.people import Role


@dataclass(frozen=True)
class Detail:
    """Limits of one role's digest; None means all.

    ``figures`` adds what a person in the trade reads (heat units, rig hours, killing chance),
    ``scouting`` the whole visit of every field.
    """

    reasons: int | None
    windows: int | None
    wait_rows: int | None
    sprayed_rows: int | None
    wait_lines: bool
    figures: bool
    scouting: bool
    names_grower: bool


_ORDER = Detail(
    reasons=3,
    windows=3,
    wait_rows=6,
    sprayed_rows=6,
    wait_lines=False,
    figures=True,
    scouting=False,
    names_grower=True,
)
_EVERYTHING = Detail(
    reasons=None,
    windows=None,
    wait_rows=None,
    sprayed_rows=None,
    wait_lines=True,
    figures=True,
    scouting=True,
    names_grower=True,
)
_OWN_FIELDS = Detail(
    reasons=3,
    windows=2,
    wait_rows=None,
    sprayed_rows=None,
    wait_lines=True,
    figures=False,
    scouting=False,
    names_grower=False,
)

#: What each role reads.
DETAIL: dict[Role, Detail] = {
    Role.OPERATOR: _ORDER,
    Role.DISPATCHER: _ORDER,
    Role.CONSULTANT: _EVERYTHING,
    Role.GROWER: _OWN_FIELDS,
}
