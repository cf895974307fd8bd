"""The text of the demo's ``farm.toml``, commented for the person who opens it."""

from datetime import UTC, datetime

_FARM = """\
# The farm of `warmspell demo`. Every person, field, address and number in it is invented.
# Change something and run `warmspell check --config farm.toml`, then `warmspell morning`.

[farm]
name = "{name}"
time_zone = "America/Chicago"
fields = "fields.geojson"          # outlines, growers, treatments: one feature a field
database = "warmspell.sqlite3"
send_at = "06:00"                  # the digest goes out from this time on
deadline = "06:45"                 # and somebody is told if it has not by then
late_until = "12:00"               # after a late start it is still worth sending until noon

# The clock of this recorded farm stands still at 6:10 am, Tuesday 6 October 2026.
# A real farm has no [replay].
[replay]
at = {at}

# Recorded answers in a folder. A real farm asks the weather service itself.
[forecast]
source = "folder"
path = "answers"

# What the season usually brings here. Invented: enter your own station's numbers.
[climate]
first_freeze_mean = "10-26"        # first night at 32 F: mean date and spread
first_freeze_sd_days = 11
killing_freeze_mean = "11-04"      # first night at 28 F
killing_freeze_sd_days = 11
normal_high_f = [95, 87, 77, 65, 55]   # mid-month, August to December
normal_low_f = [69, 62, 51, 38, 30]
temp_sd_f = 8
wet_day_pct = 18

# Thresholds can be changed for everybody here, and for a region of the fields below.
# [gates]
# wind_max_mph = 10
# [maturity]
# nacb_max = 4
# [dispatch]
# spray_day_h = 8

# How fast the crop is picked: then no more is sprayed than can be picked in time.
[harvest]
acres_per_day = 110
within_days = 14

# The bench sets its crop early and short: half open is enough there.
[regions.bench.maturity]
percent_open_min = 50

[[growers]]
id = "hallock"
name = "Hallock & Daughters"

[[growers]]
id = "quillen"
name = "Quillen Land"

[[growers]]
id = "aldama"
name = "Aldama Cotton"

# Addresses at example.org and numbers with 555-01 reach nobody.
[[people]]
id = "dell"
name = "Dell Ransome"
role = "operator"                  # drives: gets the order
email = "dell@example.org"
phone = "+12025550142"

[[people]]
id = "ivy"
name = "Ivy Castellan"
role = "consultant"                # walks: gets every field with its maturity
email = "ivy@example.org"
phone = "+12025550117"

[[people]]
id = "wade"
name = "Wade Ollerton"
role = "dispatcher"                # sends the rigs
email = "wade@example.org"

[[people]]
id = "june"
name = "June Hallock"
role = "grower"                    # sees the fields of these growers and no other
email = "june@example.org"
phone = "+12025550163"
grower_ids = ["hallock"]

[[rigs]]
id = "wide"
name = "Ninety-foot sprayer"
kind = "ground"
speed_mph = 12
swath_ft = 90
efficiency_frac = 0.65             # share of the time spent spraying, turning included
tank_gal = 1200
refill_min = 20                    # from a nurse truck that goes along
yard_latitude = 34.602              # where it stands at night
yard_longitude = -100.955
drivers = ["Dell Ransome"]         # gets his stops each morning

[[rigs]]
id = "small"
name = "Old sixty-foot sprayer"
kind = "ground"
speed_mph = 9
swath_ft = 60
efficiency_frac = 0.6
tank_gal = 750
refill_min = 25
yard_latitude = 34.541
yard_longitude = -100.884
drivers = ["Posy Windham"]

# These hours and days are INVENTED, as are the mixes. On a real farm they are what the label in
# your hand says. The label is the law.
[[treatments]]
id = "aid-12"
name = "Example mix 12"
ingredients = ["invented leaf-drop ingredient", "invented boll opener"]
rain_free_h = 12
reentry_h = 48
preharvest_days = 7
gallons_per_acre = 12

[[treatments]]
id = "aid-24"
name = "Example mix 24"
ingredients = ["invented slow leaf-drop ingredient"]
rain_free_h = 24
reentry_h = 24
preharvest_days = 5
gallons_per_acre = 15

# No [mail] and no [sms] here: the demo writes its messages to files.
"""


def farm_text(name: str, at_utc: datetime) -> str:
    """The farm file of a recorded farm called ``name`` whose clock stands at ``at_utc``."""
    return _FARM.format(name=name, at=at_utc.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ"))
