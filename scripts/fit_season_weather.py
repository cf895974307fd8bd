"""Fit the constants of the season simulator's weather to open data, and write them as a module.

    python -m scripts.fit_season_weather FILE --out dispatch/season/weather_constants.py

FILE is the table of forecast and observed daily highs and lows that `scripts.low_error_data`
describes; it is not part of the project. Wind, dew, the hours of rain and the course of a day come
from the typical year of Greensboro, NC, that the package pvlib carries. The same data always
gives the same output.
"""

import argparse
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pandas as pd

#: Cities of the file in or next to the short-season cotton of the Plains.
CITIES = ("Amarillo", "Garden City", "Wichita")
#: Days of year of the early and the late half of the season.
EARLY, LATE = (244, 288), (289, 330)
#: Middle of August to December, as `agronomy.season.NORMAL_DAYS`.
MONTHS = (8, 9, 10, 11, 12)

HEAD = '''\
"""Constants of the simulated weather; written by scripts/fit_season_weather.py, not by hand.

Highs and lows: Amarillo, Garden City and Wichita, August to December of 2014 to 2016 ({days:,} days
observed, {forecasts:,} forecasts of highs). Wind, dew, rain hours and the course of a day:
September to November of the typical year of Greensboro, NC, that pvlib carries. What nothing open
tells of the Plains is an assumption and stands in `dispatch/season/assumptions.py`.
"""
'''

Floats = npt.NDArray[np.float64]


def read_days(file: Path) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Observed highs and lows by city and day, and the forecasts of highs of autumn."""
    table = pd.read_csv(file)
    table["city"] = table.city.str.split(",").str[0]
    table = table[table.city.isin(CITIES)]
    table["date"] = pd.to_datetime(table.DateBeingForecasted)
    first = table.drop_duplicates(["kind", "city", "date"])
    days = first.pivot_table(index=["city", "date"], columns="kind", values="obs").reset_index()
    months = table.date.dt.month
    highs = table[(table.kind == "max") & months.isin((9, 10, 11))]
    return days[days.date.dt.month.isin(MONTHS)], highs


def fit_days(days: pd.DataFrame) -> dict[str, object]:
    """Normals by month, spread of highs and lows early and late, and how they go together."""
    months = days.groupby(days.date.dt.month)[["max", "min"]].mean()
    parts = []
    for _, city in days.groupby("city"):
        day = city.date.dt.day_of_year
        inside = day.between(EARLY[0], LATE[1])
        kept = city[inside].set_index("date").asfreq("D")
        when = kept.index.day_of_year.to_numpy(float)
        known = kept["max"].notna().to_numpy() & kept["min"].notna().to_numpy()
        for kind in ("max", "min"):
            values = kept[kind].to_numpy(float)
            curve = np.polyfit(when[known], values[known], 2)
            kept[kind] = values - np.polyval(curve, when)
        kept["day"] = when
        kept["high_before"], kept["low_before"] = kept["max"].shift(), kept["min"].shift()
        parts.append(kept)
    all_days = pd.concat(parts)
    early = all_days.day.between(*EARLY)
    return {
        "NORMAL_HIGH_F": _row(months["max"]),
        "NORMAL_LOW_F": _row(months["min"]),
        "LOW_SD_F": _row((all_days["min"][early].std(), all_days["min"][~early].std())),
        "HIGH_SD_F": _row((all_days["max"][early].std(), all_days["max"][~early].std())),
        "LOW_LAG_1": round(float(all_days["min"].corr(all_days.low_before)), 2),
        "HIGH_LAG_1": round(float(all_days["max"].corr(all_days.high_before)), 2),
        "LOW_WITH_HIGH": round(float(all_days["min"].corr(all_days["max"])), 2),
    }


def fit_high_errors(highs: pd.DataFrame) -> dict[str, object]:
    """Bias and spread of forecast highs by days ahead; day 7 goes on as the days before it."""
    error = (highs.fcst - highs.obs).groupby(highs["lead"]).agg(["mean", "std"]).loc[0:6]
    spread = [*error["std"], 2 * error["std"][6] - error["std"][5]]
    return {
        "HIGH_BIAS_F": _row((*error["mean"], error["mean"][6])),
        "HIGH_ERROR_SD_F": _row(spread),
    }


def fit_hours() -> dict[str, object]:
    """Course of a day, wind, dew and hours of rain in the typical year."""
    import pvlib

    file = Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"
    year, _ = pvlib.iotools.read_tmy3(str(file), map_variables=True, coerce_year=2001)
    autumn = year[year.index.month.isin((9, 10, 11))]
    warm = autumn.temp_air.groupby(autumn.index.hour).mean().to_numpy()
    coldest = int(warm.argmin())
    course = _bent(np.roll(warm, -coldest), _mean_share(autumn.temp_air))
    root = np.sqrt(autumn.wind_speed * 2.23694)
    hour_mean = root.groupby(root.index.hour).mean()
    anomaly = root - root.index.hour.map(hour_mean)
    daily = anomaly.groupby(root.index.date).mean()
    within = anomaly - pd.Series(root.index.date, index=root.index).map(daily)
    rain = autumn["Lprecip depth (mm)"]
    wet = ((rain >= 0.254) & (rain < 100)).to_numpy()
    halves = wet[: len(wet) // 12 * 12].reshape(-1, 12)
    is_wet = halves.any(axis=1)
    low = autumn.temp_air.resample("D").min().dropna() * 1.8
    dew = autumn.temp_dew.resample("D").mean().dropna() * 1.8
    below = low - dew
    return {
        "HOUR_OF_WARMEST": int(course.argmax()),
        "COURSE_OF_DAY": _row(course, 3),
        "WIND_ROOT_BY_HOUR": _row(np.roll(hour_mean.to_numpy(), -coldest)),
        "WIND_DAY_SD": round(float(daily.std()), 2),
        "WIND_DAY_LAG_1": round(float(daily.autocorr()), 2),
        "WIND_HOUR_SD": round(float(within.std()), 2),
        "WIND_HOUR_LAG_1": round(float(within.autocorr()), 2),
        "DEW_BELOW_LOW_F": _row((below.median(), below.quantile(0.84) - below.median())),
        "RAIN_HOURS_WET_HALF_DAY": round(float(halves.sum(axis=1)[is_wet].mean()), 1),
        "WET_AFTER_WET": round(float(is_wet[1:][is_wet[:-1]].mean()), 2),
        "WET_HALF_DAYS": round(float(is_wet.mean()), 3),
    }


def _mean_share(temp: pd.Series) -> float:
    """How far up from its low to its high a day's mean lies."""
    day = temp.groupby(temp.index.date)
    return float(((day.mean() - day.min()) / (day.max() - day.min())).mean())


def _bent(course: Floats, mean_share: float) -> Floats:
    """The mean course from 0 to 1, bent so that its mean lies as on the days themselves.

    Days have their extremes at different hours, so their mean course is flatter than any of them.
    """
    scaled = (course - course.min()) / (course.max() - course.min())
    low, high = 0.2, 2.0
    for _ in range(40):
        power = (low + high) / 2
        low, high = (power, high) if np.mean(scaled**power) > mean_share else (low, power)
    return np.asarray(scaled**power)


#: What each constant is, in the order written.
SAID = {
    "NORMAL_HIGH_F": "Mean high of August to December [F]",
    "NORMAL_LOW_F": "Mean low of August to December [F]",
    "LOW_SD_F": "Spread of lows around their normal, to 15 October and after [F]",
    "HIGH_SD_F": "Spread of highs around their normal, to 15 October and after [F]",
    "LOW_LAG_1": "Correlation of one day's low with the next",
    "HIGH_LAG_1": "Correlation of one day's high with the next",
    "LOW_WITH_HIGH": "Correlation of a day's low with its high",
    "HIGH_BIAS_F": "Forecast high minus what comes, days ahead 0 to 7 [F]; day 7 as day 6",
    "HIGH_ERROR_SD_F": "Spread of that error, days ahead 0 to 7 [F]; day 7 goes on as day 6",
    "HOUR_OF_WARMEST": "Hours from the coldest to the warmest hour of a mean day [h]",
    "COURSE_OF_DAY": "Temperature of each hour from the coldest on, 0 coldest to 1 warmest",
    "WIND_ROOT_BY_HOUR": "Mean square root of the wind by hour from the coldest on [mph ** 0.5]",
    "WIND_DAY_SD": "Spread of a day's mean square root of the wind [mph ** 0.5]",
    "WIND_DAY_LAG_1": "Correlation of one day's wind with the next",
    "WIND_HOUR_SD": "Spread of an hour's square root of the wind around its day [mph ** 0.5]",
    "WIND_HOUR_LAG_1": "Correlation of one hour's with the next",
    "DEW_BELOW_LOW_F": "Low minus the day's mean dew point, median and upper spread [F]",
    "RAIN_HOURS_WET_HALF_DAY": "Hours with rain in a wet half day [h]",
    "WET_AFTER_WET": "Share of half days with rain after one with rain",
    "WET_HALF_DAYS": "Share of half days with rain",
}  # fmt: skip


def module_text(days: int, forecasts: int, values: dict[str, object]) -> str:
    """The generated module, ready to be written."""
    lines = [HEAD.format(days=days, forecasts=forecasts)]
    plains = (*SAID,)[:9]
    for name, said in SAID.items():
        source = "Plains cities" if name in plains else "Greensboro typical year"
        lines.append(f"#: {said}.\n#: {source}, see above.\n{name} = {_literal(values[name])}\n")
    return "\n".join(lines)


def _literal(value: object) -> str:
    text = repr(value)
    if len(text) < 70 or not isinstance(value, tuple):
        return text
    rows = [value[at : at + 8] for at in range(0, len(value), 8)]
    told = "\n".join("    *(" + ", ".join(map(repr, row)) + ")," for row in rows)
    return f"(\n{told}\n)"


def _row(values: object, places: int = 2) -> tuple[float, ...]:
    return tuple(round(float(one), places) for one in values)  # type: ignore[attr-defined]


def main() -> None:
    """Run from the command line."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("file", type=Path, help="CSV of forecast and observed highs and lows")
    parser.add_argument("--out", type=Path, required=True, help="the module to write")
    asked = parser.parse_args()
    days, highs = read_days(asked.file)
    values = {**fit_days(days), **fit_high_errors(highs), **fit_hours()}
    asked.out.write_text(module_text(len(days), len(highs), values), "utf-8")


if __name__ == "__main__":
    main()
