"""When the leaves should be off after a spray, and what its warmth is held against."""

import numpy as np
import numpy.typing as npt

from agronomy.activity import NEED_ACTIVITY_DAYS

Floats = npt.NDArray[np.float64]

#: Heat of the first 7 days after treatment in early-planted trials [F days] (S9).
EARLY_7_DAYS_F_DAYS = (70.0, 92.0)
#: Heat of the first 7 days after treatment in late-planted trials [F days] (S9).
LATE_7_DAYS_F_DAYS = (24.0, 40.0)
#: Heat of the one trial of them all where ethephon had opened more bolls by day 7 [F days] (S9).
OPENED_BY_DAY_7_F_DAYS = 70.0
#: Heat of the first 14 days in the trials, in every one of which ethephon had opened more bolls
#: by then [F days] (S9).
OPENED_BY_DAY_14_F_DAYS = (52.0, 108.0)

#: Soonest day leaf drop is called full [days]. Judgement: trials rate at 7 days (S9), and most
#: defoliants need about two weeks (S38b).
LEAF_DROP_SOONEST_DAYS = 7
#: Latest day leaf drop is expected, however cold [days]. Judgement: one week past the two that
#: most defoliants need (S38b).
LEAF_DROP_LATEST_DAYS = 21

#: Leaf drop at which one pass has done its work [%]. Arizona Pima trials (S71b).
LEAF_DROP_BAR_PCT = 75.0
#: Leaf drop a stripper wants, the rest of the leaves dry [%]. Texas 2002 (S36f).
STRIPPER_LEAF_DROP_PCT = 80.0
#: Days after a spray from which measured leaf drop tells whether a second pass is due [days].
#: Look again in about a week (S69).
SECOND_PASS_FROM_DAYS = 7.0
#: Days between two passes [days]. Australian consultants (S40).
PASSES_APART_DAYS = (7, 10)

#: Days from application to harvest [days]: the early end of the 14 to 21 that the University of
#: California prints, longer if cool (S36).
HARVEST_AFTER_DAYS = 14


def leaf_drop_days(daily_activity: npt.ArrayLike) -> int | None:
    """Day after a spray on which leaf drop should be full, by warmth.

    The day on which the activity since the spray reaches what the reference week gives, no sooner
    than 7 and no later than 21 days. A scale of our own (judgement): no source prints leaf drop
    by heat.

    Parameters
    ----------
    daily_activity
        Activity of each 24 hours after the spray, as of `agronomy.activity` [activity-days],
        shape (days,).

    Returns
    -------
    int or None
        Days after the spray, 7 to 21; None where a day that it hangs on is NaN.
    """
    total = np.cumsum(np.asarray(daily_activity, dtype=np.float64)[:LEAF_DROP_LATEST_DAYS])
    full = np.nonzero(total >= NEED_ACTIVITY_DAYS)[0]
    if not full.size:
        return None if np.isnan(total).any() else LEAF_DROP_LATEST_DAYS
    return max(LEAF_DROP_SOONEST_DAYS, int(full[0]) + 1)
