"""What nothing open tells of the short-season Plains: every number here is an assumption."""

from datetime import date

#: First day simulated. The year is invented and means nothing.
FIRST_DAY = date(2026, 8, 20)
#: Days simulated, so that a week of every spray is known [days].
SEASON_DAYS = 104
#: First and last morning on which a rule decides, days after `FIRST_DAY`: 1 September to
#: 15 November.
FIRST_MORNING, LAST_MORNING = 12, 87
#: Days ahead a forecast tells highs and lows, from 0.
LEADS = 8

#: Least difference of a day's high and low [F].
LEAST_RANGE_F = 6.0
#: Share of the error of a low that stays with the season, and how long it does: together they
#: make two nights of one issue go together about as far as `NIGHT_CORRELATION` says.
STAYING_SHARE, STAYING_LAG_1 = 0.4, 0.97
#: How far the errors of one issue go together from day to day, and those of two issues in a row
#: for one day.
ERROR_DAY_LAG_1, ERROR_ISSUE_LAG_1 = 0.6, 0.85
#: How far the error of a high goes with that of the low before it.
ERROR_HIGH_WITH_LOW = 0.5

#: Share of half days with rain. The Plains are drier than Greensboro (0.165): about one day in
#: seven.
WET_HALF_DAYS = 0.08
#: How far the rain of two parts of the co-op goes together.
RAIN_ZONES_TOGETHER = 0.8
#: Correlation of what is told of rain with what comes, today and seven days ahead.
RAIN_SKILL = (0.95, 0.35)
#: The same of a day's wind; single hours are told today only.
WIND_SKILL = (0.9, 0.3)
#: Gust over sustained wind.
GUST_RATIO = 1.4

#: Where the invented co-op lies [deg, deg, ft].
LATITUDE, LONGITUDE, ELEVATION_FT = 36.5, -101.0, 2900.0
#: Hour of a morning, and the hour every simulated day begins in [UTC]: 6 am there in summer time.
MORNING_UTC_H = 11
#: Hour after the morning's in which the low comes [h].
LOW_AT_H = 2

#: Fields' acres: least, most common, most [acres].
FIELD_ACRES = (20.0, 60.0, 160.0)
#: Parts of the co-op that have their own rain.
RAIN_ZONES = 3
#: How much colder fields lie at night than the weather stations, leaf and low ground together, and
#: their share [F]: so that the first killing freeze of the middle field comes about 28 October, as
#: in short-season country, while days are as warm as measured.
COLD_SPOTS_F, COLD_SPOT_SHARES = (4.0, 6.0, 8.0), (0.5, 0.3, 0.2)
#: The middle field's [F]. Climate is entered for it, and the habit looks for a freeze there.
MIDDLE_COLD_SPOT_F = 5.0
#: Rain-free hours of the mixes in use [h].
RAIN_FREE_H = (6.0, 24.0)
#: Days of year between which fields would be mature in a normal season: 3 September to 3 October.
MATURE_DAYS = (246, 276)
#: Fields to a rig, and a rig's speed [mph] and swath [ft]: the job takes two fifths of the spray
#: hours before the middle field freezes, as in a tight season.
FIELDS_PER_RIG, RIG_SPEED_MPH, RIG_SWATH_FT = 50, 12.0, 90.0
#: Most wind and gust the co-op's labels allow [mph]; the other gates are the defaults.
WIND_MAX_MPH, GUST_MAX_MPH = 15.0, 21.0
#: Share of eight hours a day that turns out usable, as local records of this sky would tell.
USABLE_SHARE = 0.38

#: Days between visits to a field, and to one that is nearly mature [days].
VISIT_EVERY_DAYS, VISIT_NEARLY_EVERY_DAYS = 7, 3
#: Error of one count [nodes].
COUNT_SD = 0.6
#: Cut bolls are mature when the field's true node count is at most this, give or take [nodes].
CUT_PASSES_NACB, CUT_SD = 5.5, 0.5

#: What a spray is worth at least, and a field that froze unsprayed, as a share of a perfect spray.
LEAST_WORTH = 0.25
