"""Rigs at work on a day: who is sprayed when, hour by hour, never more than the hours allow."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

Flags = npt.NDArray[np.bool_]

_DONE_H = 1e-9


@dataclass
class Fleet:
    """Rigs of one season: the field each is in and the hours still to do there [h]."""

    rigs: int
    at_field: list[int | None] = field(default_factory=list)
    left_h: list[float] = field(default_factory=list)
    worked_h: float = 0.0

    def __post_init__(self) -> None:
        self.at_field = [None] * self.rigs
        self.left_h = [0.0] * self.rigs

    def spray(
        self,
        order: Sequence[int],
        hours_needed: Mapping[int, float] | Sequence[float],
        may_start: Mapping[int, Flags],
        can_work: Mapping[int, Flags],
    ) -> list[tuple[int, int]]:
        """Work one day through and tell which fields were begun in which hour.

        Parameters
        ----------
        order
            Fields to spray, the first first.
        hours_needed
            Rig time of each field [h].
        may_start, can_work
            Hours (24,) of each field in which it may be begun, and in which a rig can work there.
            A field begun is finished before the rig takes another, on a later day if need be.

        Returns
        -------
        list of (field, hour)
        """
        waiting = list(order)
        begun: list[tuple[int, int]] = []
        for hour in range(24):
            for rig in range(self.rigs):
                self._hour(rig, hour, waiting, begun, hours_needed, may_start, can_work)
        return begun

    def _hour(
        self,
        rig: int,
        hour: int,
        waiting: list[int],
        begun: list[tuple[int, int]],
        hours_needed: Mapping[int, float] | Sequence[float],
        may_start: Mapping[int, Flags],
        can_work: Mapping[int, Flags],
    ) -> None:
        free = 1.0
        while free > _DONE_H:
            here = self.at_field[rig]
            if here is None:
                here = next((one for one in waiting if may_start[one][hour]), None)
                if here is None:
                    return
                waiting.remove(here)
                begun.append((here, hour))
                self.at_field[rig], self.left_h[rig] = here, hours_needed[here]
            if not can_work[here][hour]:
                return
            worked = min(free, self.left_h[rig])
            free -= worked
            self.left_h[rig] -= worked
            self.worked_h += worked
            if self.left_h[rig] <= _DONE_H:
                self.at_field[rig] = None
