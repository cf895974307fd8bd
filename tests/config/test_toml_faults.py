"""One broken farm for every rule of the TOML file, with the line it must be told at."""

import pytest

ONE_FAULT = [
    pytest.param(
        'name = "Test Gin"',
        'nam = "Test Gin"',
        [
            "farm.toml:1: farm.name: got nothing, wanted text in quotes, 1 to 80 characters; "
            "add it",
            'farm.toml:2: farm.nam: got an unknown key, wanted a known one; did you mean "name"?',
        ],
        id="misspelt key",
    ),
    pytest.param(
        "wind_min_mph = 3",
        "wind_max_mhp = 3",
        [
            "farm.toml:14: gates.wind_max_mhp: got an unknown key, wanted a known one; "
            'did you mean "wind_max_mph"?'
        ],
        id="misspelt threshold",
    ),
    pytest.param(
        'late_until = "12:00"',
        "gust_max_mph = 15",
        [
            "farm.toml:7: farm.gust_max_mph: got an unknown key, wanted a known one; "
            "it belongs under [gates]"
        ],
        id="key of another table",
    ),
    pytest.param(
        'time_zone = "America/Chicago"',
        'time_zone = "America/Chcago"',
        [
            'farm.toml:3: farm.time_zone: got "America/Chcago", wanted a zone such as '
            '"America/Chicago", or "by field"; did you mean "America/Chicago"?'
        ],
        id="bad zone name",
    ),
    pytest.param(
        'time_zone = "America/Chicago"',
        'time_zone = "CST"',
        [
            'farm.toml:3: farm.time_zone: got "CST", wanted a zone such as '
            '"America/Chicago", or "by field"; did you mean "America/Chicago"?'
        ],
        id="zone that knows no summer time",
    ),
    pytest.param(
        'send_at = "06:00"',
        "send_at = 360",
        [
            "farm.toml:5: farm.send_at: got 360, wanted hours and minutes of a 24-hour clock in "
            'quotes; write it as "06:00"'
        ],
        id="time as minutes",
    ),
    pytest.param(
        'send_at = "06:00"',
        'send_at = "01:30"',
        [
            'farm.toml:5: farm.send_at: send_at is "01:30", wanted 04:00 or later; clocks are '
            "changed before that, and a digest would come twice or never"
        ],
        id="time that comes twice",
    ),
    pytest.param(
        'deadline = "06:45"',
        'deadline = "05:45"',
        [
            'farm.toml:6: farm.deadline: deadline is "05:45", wanted after send_at "06:00"; '
            "make it later"
        ],
        id="deadline before sending",
    ),
    pytest.param(
        "wind_max_mph = 10",
        "wind_max_mph = 331.2",
        [
            "farm.toml:15: gates.wind_max_mph: got 331.2, wanted above 0, at most 25 mph; "
            "check the number and its unit"
        ],
        id="number out of bounds",
    ),
    pytest.param(
        "wind_max_mph = 10",
        "wind_max_mph = nan",
        [
            "farm.toml:15: gates.wind_max_mph: got nan, wanted above 0, at most 25 mph; "
            "check the number and its unit"
        ],
        id="no number",
    ),
    pytest.param(
        "wind_max_mph = 10",
        "wind_max_mph = inf",
        [
            "farm.toml:15: gates.wind_max_mph: got inf, wanted above 0, at most 25 mph; "
            "check the number and its unit"
        ],
        id="infinite number",
    ),
    pytest.param(
        "wind_max_mph = 10",
        "wind_max_mph = -10",
        [
            "farm.toml:15: gates.wind_max_mph: got -10, wanted above 0, at most 25 mph; "
            "check the number and its unit"
        ],
        id="negative threshold",
    ),
    pytest.param(
        "wind_max_mph = 10",
        'wind_max_mph = "10"',
        [
            'farm.toml:15: gates.wind_max_mph: got "10", wanted a number, above 0, at most 25 mph; '
            "write the number without quotes"
        ],
        id="number in quotes",
    ),
    pytest.param(
        "wind_max_mph = 10",
        "wind_max_mph = true",
        [
            "farm.toml:15: gates.wind_max_mph: got true, wanted a number, above 0, at most 25 mph; "
            "correct it"
        ],
        id="yes for a number",
    ),
    pytest.param(
        "wind_min_mph = 3",
        "wind_min_mph = 12",
        [
            "farm.toml:14: gates.wind_min_mph: wind_min_mph is 12, above wind_max_mph 10; "
            "make wind_min_mph the smaller one"
        ],
        id="least above most",
    ),
    pytest.param(
        'contact = "sky@gin.test"',
        "tries = 4",
        [
            'farm.toml:10: forecast.source: contact is missing and source is "nws"; '
            "enter a mail address the weather service can write to"
        ],
        id="no contact for the weather service",
    ),
    pytest.param(
        'first_freeze_mean = "10-28"',
        'first_freeze_mean = "03-28"',
        [
            'farm.toml:21: climate.first_freeze_mean: got "03-28", wanted a day from "08-08" to '
            '"12-31"; is it the last freeze of spring, or day and month the wrong way round?'
        ],
        id="freeze of spring",
    ),
    pytest.param(
        'killing_freeze_mean = "11-05"',
        'killing_freeze_mean = "10-05"',
        [
            'farm.toml:23: climate.killing_freeze_mean: killing_freeze_mean is "10-05", before '
            'first_freeze_mean "10-28"; 28 F comes after 32 F: swap them or correct one'
        ],
        id="killing freeze first",
    ),
    pytest.param(
        "normal_high_f = [92, 85, 75, 63, 54]",
        "normal_high_f = [92, 85, 75, 63]",
        [
            "farm.toml:25: climate.normal_high_f: got a list of 4, wanted a list of 5; the tables "
            "of a climate station nearby give them, Aug Sep Oct Nov Dec"
        ],
        id="a month missing",
    ),
    pytest.param(
        "normal_low_f = [66, 59, 47, 35, 27]",
        "normal_low_f = [66, 59, 77, 35, 27]",
        [
            "farm.toml:25: climate.normal_high_f: normal_high_f and normal_low_f, October normals: "
            "got high 75 and low 77, wanted the high above the low, both in deg F between -40 and "
            "130; check the order and the unit"
        ],
        id="low above high",
    ),
    pytest.param(
        "wind_max_mph = 9",
        "wind_max_mph = 2",
        [
            "farm.toml:29: regions.creek.gates.wind_max_mph: wind_min_mph is 3, above "
            "wind_max_mph 2; make wind_min_mph the smaller one"
        ],
        id="region against the farm",
    ),
    pytest.param(
        "wind_max_mph = 9",
        "wnd_max_mph = 9",
        [
            "farm.toml:29: regions.creek.gates.wnd_max_mph: got an unknown key, wanted a known "
            'one; did you mean "wind_max_mph"?'
        ],
        id="misspelt key of a region",
    ),
    pytest.param(
        "nacb_max = 3",
        "nacb_max = 40",
        [
            "farm.toml:32: field_rules.N1.maturity.nacb_max: got 40, wanted 1 to 8; "
            "check the number and its unit"
        ],
        id="field rule out of bounds",
    ),
    pytest.param(
        "[field_rules.N1.maturity]",
        "[field_rules.n1.maturity]",
        ['farm.toml:31: field_rules.n1: got "n1", wanted the id of a field; did you mean "N1"?'],
        id="rule for no field",
    ),
    pytest.param(
        'id = "lee"',
        "id = 7",
        [
            "farm.toml:50: people[1].id: got 7, wanted text in quotes, 1 to 64 characters; "
            "put it in quotes"
        ],
        id="id without quotes",
    ),
    pytest.param(
        'role = "consultant"',
        'role = "boss"',
        [
            'farm.toml:45: people[0].role: got "boss", wanted one of "operator", "consultant", '
            '"dispatcher", "grower"; choose one of them'
        ],
        id="unknown role",
    ),
    pytest.param(
        "rain_free_h = 12",
        "reentry_h = 12",
        [
            "farm.toml:62: treatments[0].rain_free_h: got nothing, wanted a number, above 0, at "
            "most 96 hours; the label of each product in the mix gives it: enter the longest"
        ],
        id="no hours from the label",
    ),
    pytest.param(
        "\n[mail]",
        "\n[replay]\nat = 2026-10-06T11:10:00\n[mail]",
        [
            "farm.toml:68: replay.at: got 2026-10-06T11:10:00, wanted a moment with its offset "
            "from UTC, such as 2026-10-06T11:10:00Z; correct it"
        ],
        id="clock without a zone",
    ),
]


@pytest.mark.fault("I04", "I14", "I29")
@pytest.mark.parametrize(("old", "new", "told"), ONE_FAULT)
def test_a_broken_farm_is_told_by_line_key_and_what_to_do(farm, old, new, told):
    farm.edit(old, new)
    assert farm.faults() == told


def test_a_missing_table_says_where_its_figures_come_from(farm):
    text = farm.toml.read_text("utf-8")
    start, end = text.index("[climate]"), text.index("[regions")
    farm.write("farm.toml", text[:start] + text[end:])
    assert farm.faults() == [
        "farm.toml:1: climate: got nothing, wanted a table [climate]; take the figures from the "
        "tables of a climate station nearby"
    ]


def test_all_faults_are_told_at_once_in_the_order_of_the_files(farm):
    farm.edit('role = "grower"', 'role = "growr"')
    farm.edit("wind_max_mph = 10", "wind_max_mph = 100")
    farm.edit("rain_free_h = 12", "rain_free_h = -1")
    farm.edit('grower_ids = ["north"]', 'grower_ids = ["west"]')
    farm.edit("wind_max_mph = 9", "wind_max_mph = 900")
    farm.edit("34.42", "134.42", "fields.csv")
    farm.edit("south,mix", "south,mx", "fields.csv")
    assert [line.split(": ")[0:2] for line in farm.faults()] == [
        ["farm.toml:15", "gates.wind_max_mph"],
        ["farm.toml:29", "regions.creek.gates.wind_max_mph"],
        ["farm.toml:52", "people[1].role"],
        ["farm.toml:54", "people[1].grower_ids[0]"],
        ["farm.toml:65", "treatments[0].rain_free_h"],
        ["fields.csv:3", "latitude"],
        ["fields.csv:4", "treatment_id"],
    ]


@pytest.mark.parametrize("table", ["rigs", "treatments"])
def test_a_farm_needs_at_least_one_rig_and_one_treatment(farm, table):
    farm.write("farm.toml", farm.toml.read_text("utf-8").replace(f"[[{table}]]", "[[xyzzy]]"))
    wanted = f"{table}: got nothing, wanted at least one table [[{table}]]"
    assert any(wanted in line for line in farm.faults())
