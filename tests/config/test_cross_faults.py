"""One broken farm for every rule that ties one part of the files to another."""

import pytest

ONE_FAULT = [
    pytest.param(
        'id = "south"',
        'id = " North"',
        [
            'farm.toml:39: growers[1].id: got " North", wanted an id of its own; growers[0] on '
            "line 35 has it too: rename one (capitals and spaces do not tell them apart)",
            'fields.csv:4: grower_id: got "south", wanted the id of a grower, such as '
            '" North", "north"; did you mean " North"?',
        ],
        id="same grower twice",
    ),
    pytest.param(
        'id = "lee"',
        'id = "SAM"',
        [
            'farm.toml:50: people[1].id: got "SAM", wanted an id of its own; people[0] on line 43 '
            "has it too: rename one (capitals and spaces do not tell them apart)"
        ],
        id="same person twice",
    ),
    pytest.param(
        'grower_ids = ["north"]',
        'grower_ids = ["nroth"]',
        [
            'farm.toml:54: people[1].grower_ids[0]: got "nroth", wanted the id of a grower, such '
            'as "north", "south"; did you mean "north"?'
        ],
        id="person of an unknown grower",
    ),
    pytest.param(
        'grower_ids = ["north"]',
        "grower_ids = []",
        [
            "farm.toml:54: people[1].grower_ids: got none, wanted at least one grower id; "
            "a grower is shown only the fields of these"
        ],
        id="grower without fields",
    ),
    pytest.param(
        'email = "lee@gin.test"',
        "",
        [
            "farm.toml:49: people[1]: got neither email nor phone, wanted at least one; "
            "add it or delete the person"
        ],
        id="person nobody can reach",
    ),
    pytest.param(
        'email = "sam@gin.test"',
        'email = "sam@gin.test, eve@gin.test"',
        [
            'farm.toml:46: people[0].email: got "s***", wanted exactly one mail address such as '
            "sam@example.com; correct it"
        ],
        id="two addresses in one",
    ),
    pytest.param(
        'phone = "806-555-0142"',
        'phone = "806-555-01"',
        [
            'farm.toml:47: people[0].phone: got "***01", wanted a phone number with area code such '
            "as +1 806 555 0142; check the digits"
        ],
        id="phone too short",
    ),
    pytest.param(
        'fields = "fields.csv"',
        'fields = "../fields.csv"',
        [
            'farm.toml:4: farm.fields: got "../fields.csv", which leads out of the folder of this '
            "file; move it into the folder and give its name alone"
        ],
        id="file outside the folder",
    ),
    pytest.param(
        'fields = "fields.csv"',
        'fields = "/etc/hostname"',
        [
            'farm.toml:4: farm.fields: got "/etc/hostname", wanted a name inside the folder of '
            "this file; move it there and give its name alone"
        ],
        id="file by its full path",
    ),
    pytest.param(
        'late_until = "12:00"',
        'database = "../farm.sqlite3"',
        [
            'farm.toml:7: farm.database: got "../farm.sqlite3", which leads out of the folder of '
            "this file; move it into the folder and give its name alone"
        ],
        id="database outside the folder",
    ),
    pytest.param(
        'fields = "fields.csv"',
        'fields = "felds.csv"',
        [
            "felds.csv:1: file: got no file to read (no such file or directory), wanted one; "
            "check farm.fields"
        ],
        id="no such fields file",
    ),
    pytest.param(
        'sender = "gin@gin.test"',
        'sender = "gin"',
        [
            'farm.toml:69: mail.sender: got "g***", wanted exactly one mail address such as '
            "sam@example.com; correct it"
        ],
        id="sender that is no address",
    ),
]


@pytest.mark.parametrize(("old", "new", "told"), ONE_FAULT)
def test_parts_that_do_not_fit_are_told_by_line_key_and_what_to_do(farm, old, new, told):
    farm.edit(old, new)
    assert farm.faults() == told


@pytest.mark.fault("I28")
def test_a_link_that_leads_out_of_the_folder_is_refused(farm, tmp_path_factory):
    outside = tmp_path_factory.mktemp("outside") / "fields.csv"
    (farm.folder / "fields.csv").rename(outside)
    (farm.folder / "fields.csv").symlink_to(outside)
    assert farm.faults() == [
        'farm.toml:4: farm.fields: got "fields.csv", which leads out of the folder of this file; '
        "move it into the folder and give its name alone"
    ]


def test_a_database_may_lie_anywhere_by_its_full_path_or_address(farm):
    farm.edit("[forecast]", 'database = "/var/lib/farm.sqlite3"\n[forecast]')
    assert farm.warnings() == []
    farm.edit("/var/lib/farm.sqlite3", "postgresql+psycopg://gin@db.test/farm")
    assert farm.warnings() == []


def test_people_without_a_channel_to_reach_them_are_a_warning(farm):
    text = farm.toml.read_text("utf-8")
    farm.write("farm.toml", text[: text.index("[mail]")])
    assert [line.split(": got")[0] for line in farm.warnings()] == [
        "farm.toml:46: people[0].email",
        "farm.toml:47: people[0].phone",
        "farm.toml:53: people[1].email",
    ]


def test_a_recorded_farm_needs_no_channel(farm):
    text = farm.toml.read_text("utf-8")
    replay = "[replay]\nat = 2026-10-06T11:10:00Z\n"
    farm.write("farm.toml", text[: text.index("[mail]")] + replay)
    assert farm.warnings() == []
