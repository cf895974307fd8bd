"""What is given up by spraying a crop early: yield by percent open, and the price of micronaire."""

import math
from typing import Literal

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

#: Percent open at which early sprays were tried [%]. Stoneville trials (S12); at 60 % and more
#: no loss (S17).
EARLY_SPRAY_OPEN_PCT = (20.0, 40.0, 60.0)
#: Yield lost by a spray at each of them [%]: the middle of the 14 to 16 % and of the 6 to 14 %
#: that the Stoneville trials lost in two of three years (S12), and none at 60 % (S17). Taking the
#: middle, and straight lines between, is judgement.
EARLY_SPRAY_LOSS_PCT = (15.0, 10.0, 0.0)

#: Lowest micronaire of each price band after the first, which is a discount. USDA 1995, as
#: printed by Texas A&M (S37).
BAND_FROM_MIC = (3.5, 3.7, 4.3, 5.0)
#: Most a micronaire can be on the scale it is told in. Judgement: cotton lies between 2 and 7.
MIC_MAX = 10.0

Band = Literal["discount", "base", "premium"]
_BANDS: tuple[Band, ...] = ("discount", "base", "premium", "base", "discount")


def early_spray_loss_pct(percent_open: npt.ArrayLike) -> Floats:
    """Yield of a field lost when sprayed at a percent open, from trials of early sprays [%].

    Parameters
    ----------
    percent_open
        Open bolls as a share of the harvestable ones [%].

    Returns
    -------
    float or ndarray
        Loss [%], straight between the trials; below the earliest of them that one's loss, which
        is then too small; NaN where NaN.

    Notes
    -----
    The trials lost that much in two years of three: an upper middle, not an average.
    """
    share = np.asarray(percent_open, dtype=np.float64)
    loss: Floats = np.asarray(np.interp(share, EARLY_SPRAY_OPEN_PCT, EARLY_SPRAY_LOSS_PCT))[()]
    return loss


def micronaire_band(mic: float) -> Band:
    """Price band of a micronaire reading: discount, base or premium (S37).

    Parameters
    ----------
    mic
        Micronaire; taken to the nearest tenth, as the bands are printed.

    Raises
    ------
    ValueError
        If it is not a number above 0 and at most 10.
    """
    if not 0 < mic <= MIC_MAX or math.isnan(mic):
        raise ValueError(
            f"mic: got {mic:g}, wanted more than 0 and at most {MIC_MAX:g}; "
            "give the micronaire of the lint, about 3 to 5"
        )
    tenths = math.floor(mic * 10 + 0.5)
    return _BANDS[sum(tenths >= round(start * 10) for start in BAND_FROM_MIC)]
