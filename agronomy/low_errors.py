"""Errors of forecast lows by days ahead; written by scripts/derive_low_errors.py, not by hand.

Days ahead 0 to 6 are fitted on 23,258 forecasts of lows from 20 to 50 F of the US Weather Service
for 48 southern cities, September to December of 2014 and 2015; day 7 is extrapolated. How they
hold in 2016 stands in docs/freeze_odds.md.
"""

#: Forecast low minus what comes, middle of the t, days ahead 0 to 7 [F]. docs/freeze_odds.md.
LOW_BIAS_F = (0.36, 0.29, 0.67, 1.08, 1.32, 1.39, 1.88, 1.88)

#: Standard deviation of the t, days ahead 0 to 7 [F]. docs/freeze_odds.md.
LOW_ERROR_SD_F = (5.11, 5.07, 5.35, 5.49, 5.62, 6.0, 6.29, 6.69)

#: Degrees of freedom of the t, days ahead 0 to 7. docs/freeze_odds.md.
LOW_ERROR_DOF = (5.6, 6.1, 6.9, 8.2, 13.3, 22.5, 17.0, 17.0)

#: Correlation of two nights of one issue on the normal scale: of 0 to 0.6, the one
#: most likely to give the freezes that came in seven nights. docs/freeze_odds.md.
NIGHT_CORRELATION = 0.4
