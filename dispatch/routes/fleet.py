"""The rigs of a farm and all that is set for them."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from dispatch.routes.settings import RouteSettings
from dispatch.routes.travel import NamedWays
from farm.rig import Rig
from farm.treatment import Treatment


@dataclass(frozen=True)
class Fleet:
    """The rigs, the mixes, the settings, and what is told of the roads between named places.

    A place is named by the id of its field, or ``yard:`` and that of a rig. Miles are infinite
    where there is no way; ``told_min`` are the least minutes a way takes. ``notes`` are
    sentences for the plan about where these come from.
    """

    rigs: tuple[Rig, ...]
    treatments: Mapping[str, Treatment]
    settings: RouteSettings
    told_miles: NamedWays = field(default_factory=dict)
    told_min: NamedWays = field(default_factory=dict)
    notes: tuple[str, ...] = ()
