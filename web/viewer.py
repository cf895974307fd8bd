"""Who is looking at the board, and what they may do."""

from dataclasses import dataclass
from typing import Literal

from dispatch.report import MorningReport
from farm.board_role import BoardRole
from farm.field import Field
from notify.privacy import theirs

Deed = Literal["look", "scout", "records", "rigs", "people"]

#: What each role may do. Everybody may look, a grower at their own fields only; "records" are
#: sprays, harvests and freezes and what takes them back, "people" is who was told what.
RIGHTS: dict[BoardRole, frozenset[Deed]] = {
    "dispatcher": frozenset({"look", "scout", "records", "rigs", "people"}),
    "consultant": frozenset({"look", "scout", "records", "rigs", "people"}),
    "operator": frozenset({"look", "scout", "records", "rigs"}),
    "scout": frozenset({"look", "scout"}),
    "grower": frozenset({"look"}),
}


@dataclass(frozen=True)
class Viewer:
    """One person in one session. ``form_key`` must come back with whatever they send."""

    name: str
    role: BoardRole
    grower_ids: frozenset[str] = frozenset()
    form_key: str = ""

    def may(self, deed: Deed) -> bool:
        """Whether their role allows it."""
        return deed in RIGHTS[self.role]

    def sees(self, one: Field) -> bool:
        """Whether they may know of a field at all."""
        return self.role != "grower" or one.grower_id in self.grower_ids

    def seen(self, report: MorningReport) -> MorningReport:
        """A morning as they may see it; every page, file and feed is made from this."""
        return theirs(report, self.grower_ids) if self.role == "grower" else report
