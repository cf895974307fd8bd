"""What a morning tells of its rigs: the plan made from it, or why there is none."""

from dataclasses import dataclass, replace

from dispatch.routes.plan import PlannedDay, RoutePlan
from farm.people import Person, Role
from notify.rig_sheet import FarmFacts
from notify.user_text import plain_line


@dataclass(frozen=True)
class MorningRigs:
    """The plan of rigs that was made right after the calls, from them alone.

    ``plan`` is None where none could be made in time; ``problem`` then says why, for people.
    """

    facts: FarmFacts
    plan: RoutePlan | None = None
    problem: str = ""

    def without_plan(self, problem: str) -> "MorningRigs":
        """The same morning with no plan to show."""
        return replace(self, plan=None, problem=problem)

    def drives(self, person: Person) -> bool:
        """Whether a person is an operator whom a rig names as its driver."""
        named = (driver for rig in self.facts.rigs.values() for driver in rig.drivers)
        return person.role is Role.OPERATOR and any(_is(person, one) for one in named)

    def tells(self, person: Person) -> bool:
        """Whether a person's digest has anything of the rigs."""
        return person.role is Role.DISPATCHER or self.drives(person)

    def days_of(self, person: Person) -> tuple[PlannedDay, ...]:
        """The days a person drives, or all of them for a dispatcher; in the order of the plan."""
        days = self.plan.days if self.plan else ()
        if person.role is Role.DISPATCHER:
            return days
        return tuple(one for one in days if self.drives(person) and _is(person, one.driver or ""))


def _is(person: Person, driver: str) -> bool:
    """Whether the name of a driver is a person's, by id or by name; letters' case is no matter."""
    told = plain_line(driver).casefold()
    return told != "" and told in {plain_line(one).casefold() for one in (person.id, person.name)}
