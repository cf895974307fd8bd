"""What another source sees past the reach of the forecast that leads. It has no part in any call:
if its hours counted, losing hours of the leader could turn another call into spray.
"""

from typing import Literal

from pydantic import AwareDatetime

from dispatch.field_figures import Figure


class FurtherFigures(Figure):
    """One field's further look.

    It begins at ``from_utc``, the first hour past the leader's reach, and holds through
    ``through_utc``, the first hour past the unbroken ones. ``low_f`` [F] is the coldest hour and
    ``low_utc`` its moment, ``first_utc`` and ``killing_utc`` the first hours at or below the
    freezing and the killing line, all at the field, its cold spot counted in; ``rain_in`` [inch]
    the rain up to ``through_utc``. All of these are None where ``problem`` says why nothing is
    known.
    """

    source: str
    issued_utc: AwareDatetime | None = None
    age_mark: Literal["fresh", "ageing", "old", "very_old", "none"] = "none"
    from_utc: AwareDatetime | None = None
    through_utc: AwareDatetime | None = None
    low_f: float | None = None
    low_utc: AwareDatetime | None = None
    first_utc: AwareDatetime | None = None
    killing_utc: AwareDatetime | None = None
    rain_in: float | None = None
    problem: str = ""
