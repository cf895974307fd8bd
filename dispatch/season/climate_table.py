"""Climate of the simulated co-op; written by scripts/fit_season_climate.py, not by hand.

Counted in 2,000 simulated years.
"""

#: Mean day of year and spread of the first low at or below 32 F at the middle field.
#: Simulated.
FIRST_FREEZE_DAY = (293.1, 13.6)

#: The same of 28 F. Simulated.
KILLING_FREEZE_DAY = (300.8, 13.1)

#: Spread of a day's mean temperature around the normal [F]. Simulated.
TEMP_SD_F = 8.0

#: Share of days with rain [%]. Simulated.
WET_DAY_PCT = 13.1
