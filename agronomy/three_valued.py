"""Gates that can say yes, no, or not known.

A comparison with NaN is False, so ``temp <= 32`` on a missing hour would read as "no freeze".
Gates are therefore built from what is known *and* inside, and unknown stays a value of its own.
"""

import numpy as np
import numpy.typing as npt

Gate = npt.NDArray[np.int8]

YES = np.int8(1)
NO = np.int8(0)
UNKNOWN = np.int8(-1)


def gate(inside: npt.ArrayLike, known: npt.ArrayLike) -> Gate:
    """Yes where known and inside, no where known and not inside, unknown elsewhere."""
    verdict = np.where(np.asarray(inside, dtype=bool), YES, NO)
    return np.asarray(np.where(np.asarray(known, dtype=bool), verdict, UNKNOWN), dtype=np.int8)


def at_most(value: npt.ArrayLike, limit: npt.ArrayLike) -> Gate:
    """Yes where ``value <= limit``; unknown where the value is NaN."""
    values = np.asarray(value, dtype=float)
    with np.errstate(invalid="ignore"):
        return gate(values <= limit, ~np.isnan(values))


def at_least(value: npt.ArrayLike, limit: npt.ArrayLike) -> Gate:
    """Yes where ``value >= limit``; unknown where the value is NaN."""
    values = np.asarray(value, dtype=float)
    with np.errstate(invalid="ignore"):
        return gate(values >= limit, ~np.isnan(values))


def all_of(*gates: npt.ArrayLike) -> Gate:
    """No if any is no, else unknown if any is unknown, else yes."""
    stacked = np.stack(np.broadcast_arrays(*[np.asarray(one, dtype=np.int8) for one in gates]))
    any_no = (stacked == NO).any(axis=0)
    any_unknown = (stacked == UNKNOWN).any(axis=0)
    return np.asarray(np.where(any_no, NO, np.where(any_unknown, UNKNOWN, YES)), dtype=np.int8)
