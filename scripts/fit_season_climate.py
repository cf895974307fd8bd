"""Write what a user would enter as the climate of the simulated co-op, counted in its own years.

    python -m scripts.fit_season_climate --out dispatch/season/climate_table.py

Run after scripts.fit_season_weather or after a change of `dispatch/season/assumptions.py`.
"""

import argparse
from pathlib import Path

import numpy as np

from agronomy.season import normal_on
from dispatch.season import assumptions as assumed
from dispatch.season import weather_constants as fitted
from dispatch.season.rain import draw_rain
from dispatch.season.temperatures import days_of_year, draw_temperatures

#: Years counted, and the seed they are drawn from; no season of a backtest is drawn from it.
YEARS, SEED = 2000, 20_260_000

HEAD = '''\
"""Climate of the simulated co-op; written by scripts/fit_season_climate.py, not by hand.

Counted in {years:,} simulated years.
"""

#: Mean day of year and spread of the first low at or below 32 F at the middle field.
#: Simulated.
FIRST_FREEZE_DAY = {first}

#: The same of 28 F. Simulated.
KILLING_FREEZE_DAY = {killing}

#: Spread of a day's mean temperature around the normal [F]. Simulated.
TEMP_SD_F = {spread}

#: Share of days with rain [%]. Simulated.
WET_DAY_PCT = {wet}
'''


def main() -> None:
    """Run from the command line."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--out", type=Path, required=True, help="the module to write")
    asked = parser.parse_args()
    drawn = [draw_temperatures(np.random.default_rng([SEED, year])) for year in range(YEARS)]
    low = np.array([one.low_f for one in drawn])
    high = np.array([one.high_f for one in drawn])
    day = days_of_year()
    mean = (low + high) / 2 - (
        normal_on(day, fitted.NORMAL_HIGH_F) + normal_on(day, fitted.NORMAL_LOW_F)
    ) / 2
    season = slice(assumed.FIRST_MORNING, assumed.LAST_MORNING)
    rains = [draw_rain(np.random.default_rng([SEED, year, 1])).falls for year in range(YEARS // 10)]
    wet = np.array([one.reshape(len(one), -1, 24).any(axis=2).mean() for one in rains])

    def first(line_f: float) -> tuple[float, float]:
        froze = low - assumed.MIDDLE_COLD_SPOT_F <= line_f
        came = day[froze.argmax(axis=1)][froze.any(axis=1)]
        return round(float(came.mean()), 1), round(float(came.std()), 1)

    text = HEAD.format(
        years=YEARS,
        first=first(32),
        killing=first(28),
        spread=round(float(mean[:, season].std()), 1),
        wet=round(100 * float(wet.mean()), 1),
    )
    asked.out.write_text(text, "utf-8")


if __name__ == "__main__":
    main()
