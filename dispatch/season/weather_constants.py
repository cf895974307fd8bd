"""Constants of the simulated weather; written by scripts/fit_season_weather.py, not by hand.

Highs and lows: Amarillo, Garden City and Wichita, August to December of 2014 to 2016 (1,272 days
observed, 4,839 forecasts of highs). Wind, dew, rain hours and the course of a day:
September to November of the typical year of Greensboro, NC, that pvlib carries. What nothing open
tells of the Plains is an assumption and stands in `dispatch/season/assumptions.py`.
"""

#: Mean high of August to December [F].
#: Plains cities, see above.
NORMAL_HIGH_F = (89.36, 84.32, 75.16, 60.29, 48.13)

#: Mean low of August to December [F].
#: Plains cities, see above.
NORMAL_LOW_F = (65.07, 58.94, 47.9, 32.73, 25.11)

#: Spread of lows around their normal, to 15 October and after [F].
#: Plains cities, see above.
LOW_SD_F = (6.5, 9.0)

#: Spread of highs around their normal, to 15 October and after [F].
#: Plains cities, see above.
HIGH_SD_F = (8.91, 11.66)

#: Correlation of one day's low with the next.
#: Plains cities, see above.
LOW_LAG_1 = 0.65

#: Correlation of one day's high with the next.
#: Plains cities, see above.
HIGH_LAG_1 = 0.56

#: Correlation of a day's low with its high.
#: Plains cities, see above.
LOW_WITH_HIGH = 0.67

#: Forecast high minus what comes, days ahead 0 to 7 [F]; day 7 as day 6.
#: Plains cities, see above.
HIGH_BIAS_F = (-0.63, -0.58, -0.74, -1.07, -1.18, -1.36, -1.15, -1.15)

#: Spread of that error, days ahead 0 to 7 [F]; day 7 goes on as day 6.
#: Plains cities, see above.
HIGH_ERROR_SD_F = (2.99, 3.38, 4.05, 4.77, 5.67, 6.69, 7.8, 8.91)

#: Hours from the coldest to the warmest hour of a mean day [h].
#: Greensboro typical year, see above.
HOUR_OF_WARMEST = 9

#: Temperature of each hour from the coldest on, 0 coldest to 1 warmest.
#: Greensboro typical year, see above.
COURSE_OF_DAY = (
    *(0.0, 0.025, 0.218, 0.46, 0.646, 0.774, 0.869, 0.945),
    *(0.992, 1.0, 0.981, 0.888, 0.717, 0.562, 0.453, 0.375),
    *(0.325, 0.266, 0.259, 0.215, 0.159, 0.122, 0.097, 0.043),
)

#: Mean square root of the wind by hour from the coldest on [mph ** 0.5].
#: Greensboro typical year, see above.
WIND_ROOT_BY_HOUR = (
    *(1.93, 1.96, 2.35, 2.61, 2.78, 2.83, 2.86, 2.84),
    *(2.71, 2.62, 2.65, 2.52, 2.29, 2.0, 1.7, 1.92),
    *(1.95, 1.83, 1.94, 1.92, 1.81, 2.03, 1.94, 1.94),
)

#: Spread of a day's mean square root of the wind [mph ** 0.5].
#: Greensboro typical year, see above.
WIND_DAY_SD = 0.81

#: Correlation of one day's wind with the next.
#: Greensboro typical year, see above.
WIND_DAY_LAG_1 = 0.56

#: Spread of an hour's square root of the wind around its day [mph ** 0.5].
#: Greensboro typical year, see above.
WIND_HOUR_SD = 0.86

#: Correlation of one hour's with the next.
#: Greensboro typical year, see above.
WIND_HOUR_LAG_1 = 0.42

#: Low minus the day's mean dew point, median and upper spread [F].
#: Greensboro typical year, see above.
DEW_BELOW_LOW_F = (0.07, 4.12)

#: Hours with rain in a wet half day [h].
#: Greensboro typical year, see above.
RAIN_HOURS_WET_HALF_DAY = 3.0

#: Share of half days with rain after one with rain.
#: Greensboro typical year, see above.
WET_AFTER_WET = 0.37

#: Share of half days with rain.
#: Greensboro typical year, see above.
WET_HALF_DAYS = 0.165
