"""Forecast lows beside the lows that came, read from a file and paired with the right night.

The file is a table with the columns kind, city, Lon, DateOfForecast, DateBeingForecasted, lead,
fcst and obs (deg F, whole degrees), one row a forecast. The lows that came are of calendar days,
while a forecast low is of a night, and the date a forecast carries is not always that of the
morning: before December 2015 in the Eastern zone, and after it everywhere, lows go far better
with the day after. `came_f` is the low of the day that fits, told by all months but those held
apart; `obs` is as labelled.
"""

from pathlib import Path

import numpy as np
import pandas as pd

#: Months in which cotton waits for its first freeze.
MONTHS = (9, 10, 11, 12)
#: Year held apart from every fit; `LONG_TEST_YEAR` takes its place at leads it does not have.
TEST_YEAR, LONG_TEST_YEAR = 2016, 2015
#: Issue date from which the dates of the file mean another night; seen in the errors themselves.
LABELS_CHANGED = pd.Timestamp(2015, 12, 1)
#: Forecast lows near enough to freezing to matter [F].
NEAR_FREEZING_F = (20, 50)

COLUMNS = ("kind", "city", "Lon", "DateOfForecast", "DateBeingForecasted", "lead", "fcst", "obs")


def read_lows(file: Path) -> pd.DataFrame:
    """Autumn forecasts of lows, one row a city, issue and lead.

    Returns
    -------
    DataFrame
        Columns city, issued, date, year, lead [days], fcst [F], obs [F] as labelled, came_f [F]
        paired by night, NaN where the day after is not in the file.

    Raises
    ------
    SystemExit
        A column is missing.
    """
    table = pd.read_csv(file)
    if missing := [name for name in COLUMNS if name not in table]:
        raise SystemExit(
            f"{file}: got no column {', '.join(missing)}, wanted {', '.join(COLUMNS)}; "
            "is it the file of forecast and observed lows?"
        )
    lows = table[table.kind == "min"].copy()
    lows["issued"] = pd.to_datetime(lows.DateOfForecast)
    lows["date"] = pd.to_datetime(lows.DateBeingForecasted)
    lows["year"] = lows.date.dt.year
    lows["came_f"] = _paired_by_night(lows)
    autumn = lows[lows.date.dt.month.isin(MONTHS)]
    kept = ["city", "issued", "date", "year", "lead", "fcst", "obs", "came_f"]
    return autumn[kept].sort_values(["city", "issued", "lead"]).reset_index(drop=True)


def _paired_by_night(lows: pd.DataFrame) -> pd.Series:
    by_day = lows.drop_duplicates(["city", "date"]).set_index(["city", "date"]).obs
    after = pd.MultiIndex.from_arrays([lows.city, lows.date + pd.Timedelta(days=1)])
    day_after = pd.Series(by_day.reindex(after).to_numpy(), index=lows.index)
    labels = (lows.issued >= LABELS_CHANGED).rename("late")
    held_apart = (lows.year == TEST_YEAR) & lows.date.dt.month.isin(MONTHS)
    errors = pd.DataFrame(
        {"same": lows.fcst - lows.obs, "after": lows.fcst - day_after, "late": labels}
    ).join(lows[["city", "lead"]])
    spread = errors[~held_apart].groupby(["late", "city", "lead"])[["same", "after"]].std()
    is_after = spread.after < spread.same
    key = pd.MultiIndex.from_arrays([labels, lows.city, lows["lead"]])
    use_after = is_after.reindex(key).fillna(False).to_numpy(dtype=bool)
    return pd.Series(np.where(use_after, day_after, lows.obs), index=lows.index)


def training(lows: pd.DataFrame) -> pd.DataFrame:
    """Rows a table may be fitted on: years before the test year, lows near freezing."""
    return lows[(lows.year < TEST_YEAR) & lows.fcst.between(*NEAR_FREEZING_F)]


def held_apart(lows: pd.DataFrame, lead: int) -> pd.DataFrame:
    """Rows of a lead that no fit has seen: of 2016, or of 2015 where 2016 has none."""
    of_lead = lows[lows["lead"] == lead]
    test = of_lead[of_lead.year == TEST_YEAR]
    return test if len(test) else of_lead[of_lead.year == LONG_TEST_YEAR]
