"""Days that go wrong, with the whole worker, a real mail server and a clock the test sets."""

import json
import sqlite3
from contextlib import closing
from datetime import UTC, date, datetime, timedelta

import pytest

from farm.consent import Consent, address_key
from scheduler import morning as morning_module
from storage.stores import open_stores
from tests.reliability.desk import CHICAGO, body_of, desk_of
from tests.reliability.mill import START_UTC, TUESDAY


@pytest.mark.fault("S07")
def test_a_restart_seconds_after_the_time_still_sends_today(mill):
    one = mill()
    with desk_of(one) as desk:
        desk.at("2026-10-06T06:00:05")

    assert one.broken() == []
    assert not any("Late:" in body_of(mail) for mail in desk.mails)


@pytest.mark.fault("S08")
def test_down_until_nine_sends_a_digest_that_says_it_is_late(mill):
    one = mill()
    with desk_of(one) as desk:
        desk.at("2026-10-06T09:02")

    assert one.broken() == []
    assert all("Late: made today 9:02 am" in body_of(mail) for mail in desk.of_kind("morning"))


@pytest.mark.fault("S08")
def test_after_ten_only_mails_go_out(mill):
    one = mill()
    with desk_of(one) as desk:
        desk.at("2026-10-06T10:30", ticks=2)

    assert len(desk.of_kind("morning")) == 3
    assert desk.texts_of("morning") == []


@pytest.mark.fault("S09")
def test_down_until_one_sends_no_digest_and_tells_the_operator_by_every_channel(mill):
    one = mill()
    with desk_of(one) as desk:
        for minute in range(3):
            desk.at(f"2026-10-06T13:0{minute}")

    (alarm,) = desk.mails
    assert alarm["To"] == "p0@example.org"
    assert "the morning of 2026-10-06 was missed: it is past 12:00" in body_of(alarm)
    (text,) = desk.texts_of("alarm-missed")
    assert text.startswith("ALARM Tue 6 Oct: the morning of 2026-10-06 was missed")


@pytest.mark.fault("S10")
def test_down_three_mornings_sends_only_todays(mill):
    one = mill()
    with desk_of(one) as desk:
        desk.at("2026-10-03T06:10")
    one.room.clear()
    with desk_of(one) as desk:
        desk.at("2026-10-06T06:20", ticks=3)

    assert one.broken() == []
    assert {mail["Subject"][:9] for mail in desk.mails} == {"Tue 6 Oct"}


@pytest.mark.fault("S10")
def test_what_was_left_yesterday_is_not_sent_today(mill):
    """Killed after the first mail of Monday, started on Tuesday: Monday's calls stay unsent."""
    one = mill()
    monday = START_UTC.replace(day=5)
    one.run(at=monday, point=58, mode="kill")
    before = {who: len(of_one) for who, of_one in one.room.copies().items()}
    assert 0 < sum(before.values()) < len(one.wanted)
    with desk_of(one) as desk:
        desk.at("2026-10-06T06:00:05", ticks=3)

    monday_copies = [n for of_one in one.room.copies().values() for n, _ in of_one if "10-05" in n]
    assert len(monday_copies) == sum(before.values())
    late = [row for row in one.rows(date(2026, 10, 5)) if row.state == "failed"]
    assert len(late) == len(one.wanted) - sum(before.values())
    assert {row.error for row in late} == {"not handed over in time, so not sent at all"}
    assert one.broken() == []


@pytest.mark.fault("S11")
def test_asleep_through_the_time_sends_at_the_first_tick_after_waking(mill):
    one = mill()
    with desk_of(one) as desk:
        desk.at("2026-10-06T05:50")
        assert desk.mails == []
        desk.at("2026-10-06T08:00")

    assert one.broken() == []


@pytest.mark.fault("S12")
def test_a_clock_set_back_after_sending_sends_nothing_again(mill):
    one = mill()
    with desk_of(one) as desk:
        desk.at("2026-10-06T06:10")
        for moment in ("05:10", "05:59", "06:00:05", "06:11", "06:40"):
            desk.at(f"2026-10-06T{moment}", ticks=2)

    assert one.broken() == []
    assert len(desk.mails) == 3


@pytest.mark.fault("S13")
@pytest.mark.parametrize("day", ["2026-10-05", "2026-10-07"])
def test_a_clock_wrong_by_a_day_never_says_spray(mill, day):
    """The age of the forecast is then not known, or too old for a call."""
    one = mill()
    with desk_of(one) as desk:
        desk.at(f"{day}T06:10")

    assert len(desk.of_kind("morning")) == 3
    assert all("spray " not in mail["Subject"] for mail in desk.mails)
    assert all("3 not known" in mail["Subject"] for mail in desk.mails)


@pytest.mark.fault("S14", "S15")
@pytest.mark.parametrize(
    ("day", "hours"),
    [
        pytest.param("2026-11-01", 25, id="25 hours"),
        pytest.param("2027-03-14", 23, id="23 hours"),
    ],
)
def test_a_day_with_an_hour_more_or_less_sends_once(mill, day, hours):
    one = mill()
    with desk_of(one) as desk:
        midnight = datetime.fromisoformat(f"{day}T00:00").replace(tzinfo=CHICAGO).astimezone(UTC)
        for half_hour in range(2 * hours):
            desk.now = midnight + timedelta(minutes=30 * half_hour)
            desk.worker.tick()

    assert len(desk.of_kind("morning")) == 3
    assert len(desk.texts_of("morning")) == 2


@pytest.mark.fault("S17")
def test_one_field_our_code_stumbles_over_costs_only_its_own_call(mill, monkeypatch):
    one, true = mill(), morning_module.judge_maturity

    def stumbling(visits, registered, *more):
        if any(field.id == "south-pivot" for field in registered):
            raise ZeroDivisionError("a fault of ours")
        return true(visits, registered, *more)

    monkeypatch.setattr(morning_module, "judge_maturity", stumbling)
    with desk_of(one) as desk:
        desk.at("2026-10-06T06:00:05", ticks=2)

    assert one.broken() == []
    for mail in desk.of_kind("morning"):
        assert mail["Subject"].startswith("Tue 6 Oct: spray 2, 1 not known")
        assert "South Pivot" in body_of(mail)
        assert "This program stumbled over the field" in body_of(mail)
    (alarm,) = desk.of_kind("alarm-records")
    assert "field south-pivot: no call could be made" in body_of(alarm)


@pytest.mark.fault("S17")
def test_a_morning_that_fails_each_time_raises_the_alarm_after_the_deadline(mill, monkeypatch):
    one = mill()

    def broken(*_told):
        raise ZeroDivisionError("a fault of ours")

    monkeypatch.setattr(morning_module, "judge_maturity", broken)
    with desk_of(one) as desk:
        desk.at("2026-10-06T06:00:05")
        assert desk.mails == []
        desk.at("2026-10-06T06:46")
        desk.at("2026-10-06T07:30")

    (alarm,) = desk.mails
    assert "the morning of 2026-10-06 ends in an error each time" in body_of(alarm)


@pytest.mark.fault("D08")
def test_a_damaged_record_costs_its_field_the_call_and_is_named(mill):
    one = mill()
    with closing(sqlite3.connect(one.folder / "warmspell.sqlite3")) as connection:
        where = "WHERE field_id = 'windmill'"
        connection.execute(f"UPDATE visits SET record = replace(record, '12', '13') {where}")
        connection.commit()
    with desk_of(one) as desk:
        desk.at("2026-10-06T06:00:05", ticks=2)

    assert one.broken() == []
    for mail in desk.of_kind("morning"):
        assert mail["Subject"].startswith("Tue 6 Oct: spray 2, 1 not known")
        assert "A record of it is damaged (visits, row " in body_of(mail)
    (alarm,) = desk.of_kind("alarm-records")
    assert "does not match its seal" in body_of(alarm)


@pytest.mark.fault("M14")
def test_a_stop_between_planning_and_sending_is_kept(mill):
    """The server is away at six; the reader stops; the server comes back."""
    one = mill()
    port = one.room.mail_port
    with desk_of(one) as desk:
        mail = desk.worker.channels["mail"]
        settings = mail._channel._settings
        mail._channel._settings = settings.model_copy(update={"port": 9})
        desk.at("2026-10-06T06:00:05")
        assert desk.mails == []
        with open_stores("warmspell.sqlite3", one.folder) as stores:
            stopped = Consent(
                uuid="00000000-0000-4000-8000-000000000001",
                channel="mail",
                address_key=address_key("mail", "p1@example.org"),
                address_masked="p***@example.org",
                word="stop",
                told_utc=desk.now,
                how="a test",
            )
            stores.consents.add(stopped, ["p1"])
        mail._channel._settings = settings.model_copy(update={"port": port})
        desk.at("2026-10-06T06:10", ticks=2)

    assert sorted(mail["To"] for mail in desk.of_kind("morning")) == [
        "p0@example.org",
        "p2@example.org",
    ]


def test_who_was_not_reached_by_the_deadline_is_told_to_the_operator(mill):
    one = mill()
    with desk_of(one) as desk:
        mail = desk.worker.channels["mail"]
        mail._channel._settings = mail._channel._settings.model_copy(update={"port": 9})
        desk.at("2026-10-06T06:00:05")
        desk.at("2026-10-06T06:46")
        desk.at("2026-10-06T07:30")

    assert len(desk.texts_of("morning")) == 2
    # The mail server is away, so the operator hears of it by text.
    assert len(desk.texts_of("alarm-mail-stopped")) == 1
    (text,) = desk.texts_of("alarm-undelivered")
    assert "3 of this morning's messages were not handed over by the deadline" in text


@pytest.mark.parametrize("better", [False, True])
def test_a_spray_is_withdrawn_once_and_what_became_better_waits(mill, better):
    """The forecast turns between six and nine: rain where none was, or the other way round."""
    one = mill()
    answers = sorted((one.folder / "answers").glob("gridpoints_*.json"))
    dry = {path: path.read_text() for path in answers}

    def rain() -> None:
        for path in answers:
            told = json.loads(dry[path])
            for name in ("probabilityOfPrecipitation", "quantitativePrecipitation"):
                for value in told["properties"][name]["values"]:
                    value["value"] = 95 if name.startswith("prob") else 9.0
            path.write_text(json.dumps(told))

    if better:
        rain()
    with desk_of(one) as desk:
        desk.at("2026-10-06T06:00:05")
        sent = len(desk.mails)
        if better:
            for path, text in dry.items():
                path.write_text(text)
        else:
            rain()
        for moment in ("09:00:05", "09:01", "12:00:05"):
            desk.at(f"2026-10-06T{moment}")

    corrections = desk.of_kind("correction")
    with open_stores("warmspell.sqlite3", one.folder) as stores:
        shown, looked = stores.plans.on(TUESDAY), stores.plans.on(TUESDAY, "look")
    # What people were told last is what they are shown.
    hour = {True: 11, False: 14}[better]
    assert (shown.run.made_utc.hour, looked.run.made_utc.hour) == (hour, 17)
    if better:
        assert (len(desk.mails), corrections) == (sent, [])
        return
    assert sorted(mail["To"] for mail in corrections) == [f"p{n}@example.org" for n in range(3)]
    first = {mail["To"]: mail["Message-ID"] for mail in desk.of_kind("morning")}
    for mail in corrections:
        assert "do not spray 3 fields" in mail["Subject"]
        assert mail["References"] == first[mail["To"]]
    assert len(desk.texts_of("correction")) == 2
    assert len(desk.of_kind("morning")) == 3


@pytest.mark.fault("M02")
def test_an_address_refused_three_days_running_is_left_alone_and_the_operator_told(mill):
    one = mill()
    one.room.refuse = {"p1@example.org"}
    with desk_of(one) as desk:
        for day in range(6, 11):
            one.room.clear()
            desk.at(f"2026-10-{day:02d}T06:00:05", ticks=2)
            desk.at(f"2026-10-{day:02d}T07:00:05")
            told = [body_of(mail) for mail in desk.of_kind("alarm-addresses")]
            if day == 9:
                (alarm,) = told
                assert "p1: p***@example.org was refused for good on 3 days in a row" in alarm
            else:
                assert told == []
            assert len(desk.of_kind("morning")) == 2
    one.room.refuse = set()

    with open_stores("warmspell.sqlite3", one.folder) as stores:
        days = [date(2026, 10, day) for day in range(6, 11)]
        rows = [stores.deliveries.unsent(on, "morning") for on in days]
    assert [[row.person_id for row in of_day] for of_day in rows] == [
        ["p1"],
        ["p1"],
        ["p1"],
        [],
        [],
    ]
