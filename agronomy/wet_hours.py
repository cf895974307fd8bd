"""Which hours are wet, which are not known, and where the next of each lies."""

import numpy as np
import numpy.typing as npt

Flags = npt.NDArray[np.bool_]
Indices = npt.NDArray[np.int64]

#: Share of a threshold that rounding may take away: float32 keeps 0.01 inch as 0.0099999998, and
#: millimetres turned into inches lose the last digits. Errs towards wet.
ROUNDING_FRAC = 1e-5


def reaches(amount: npt.ArrayLike, threshold: npt.ArrayLike) -> Flags:
    """True where a known amount is at or above a threshold, forgiving its last digits."""
    amounts = np.asarray(amount, dtype=np.float64)
    return np.asarray(amounts >= np.asarray(threshold) * (1 - ROUNDING_FRAC))


def next_wet_and_unknown(
    rain_in: npt.ArrayLike,
    rain_chance_pct: npt.ArrayLike,
    threshold_in: npt.ArrayLike,
    chance_max_pct: npt.ArrayLike,
) -> tuple[Indices, Indices]:
    """Index of the first wet and of the first unknown hour at or after each hour.

    Wet by amount or by chance; unknown where either is NaN and the other does not make it wet.
    The length of the series stands for none.
    """
    rain, chance = np.broadcast_arrays(
        np.asarray(rain_in, dtype=np.float64), np.asarray(rain_chance_pct, dtype=np.float64)
    )
    wet = reaches(rain, threshold_in) | reaches(chance, chance_max_pct)
    return next_index(wet), next_index((np.isnan(rain) | np.isnan(chance)) & ~wet)


def next_index(flags: Flags) -> Indices:
    """Index of the first true hour at or after each hour; the length where there is none."""
    length = flags.shape[-1]
    hour = np.where(flags, np.arange(length), length)
    return np.minimum.accumulate(hour[..., ::-1], axis=-1)[..., ::-1]
