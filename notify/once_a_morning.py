"""What follows from a whole morning alone is worked out once, not again for every reader."""

from collections.abc import Callable
from functools import wraps
from typing import TYPE_CHECKING, TypeVar
from weakref import ReferenceType, ref

if TYPE_CHECKING:
    from dispatch.report import MorningReport

Found = TypeVar("Found")


def once_a_morning(
    work: "Callable[[MorningReport], Found]",
) -> "Callable[[MorningReport], Found]":
    """The same function, which remembers what it found for the morning it was last asked about.

    The very same morning, which never changes: another with equal content is worked out anew.
    """
    last: list[tuple[ReferenceType[MorningReport], Found]] = []

    @wraps(work)
    def remembered(report: "MorningReport") -> Found:
        # One look at the list, so that another thread may put its own morning there meanwhile.
        for known, found in last[:1]:
            if known() is report:
                return found
        found = work(report)
        last[:] = [(ref(report, lambda _: last.clear()), found)]
        return found

    return remembered
