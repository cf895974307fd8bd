"""What links do: looking changes nothing, pressing acts once, and only for one's own fields."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID

import pytest

from farm.consent import Consent, address_key
from farm.field import Field
from farm.look_request import LookRequest
from farm.people import Person, Role
from farm.records import Spray
from farm.treatment import Treatment
from notify.link_actions import LinkDesk
from notify.links import PURPOSES, Link, LinkKeys, Purpose

NOW = datetime(2026, 10, 6, 19, 30, tzinfo=UTC)
SOME = UUID("5d0c3c7e-6f0d-4c55-9a0e-2f6c1d7b8e41")
WEEK = NOW + timedelta(days=7)
KEYS = LinkKeys(("k" * 40,))


class Records:
    """Records of one kind, each once."""

    def __init__(self) -> None:
        self.kept: list[Any] = []

    def add(self, record: Any, *_: Any) -> bool:
        if record.uuid in {one.uuid for one in self.kept}:
            return False
        self.kept.append(record)
        return True

    def of_field(self, field_id: str) -> tuple[Any, ...]:
        return tuple(one for one in self.kept if one.field_id == field_id)

    def standing(self, channel: str, address: str) -> Consent | None:
        key = address_key(channel, address)
        told = [one for one in self.kept if one.address_key == key]
        return told[-1] if told else None


def field(name: str, grower: str) -> Field:
    return Field(
        id=name,
        name=f"{name} <b>",
        grower_id=grower,
        latitude=35.0,
        longitude=-99.0,
        acres=100.0,
        time_zone="America/Chicago",
        treatment_id="mix",
    )


ANA = Person(id="ana", name="Ana", role=Role.GROWER, grower_ids=("ruhl",), email="ana@example.com")
PAT = Person(id="pat", name="Pat", role=Role.CONSULTANT, email="pat@example.com")
MIX = Treatment(id="mix", name="Early mix", rain_free_h=24, reentry_h=48, preharvest_days=7)


@pytest.fixture
def desk() -> LinkDesk:
    return LinkDesk(
        keys=KEYS,
        people=(ANA, PAT),
        fields={"own": field("own", "ruhl"), "foreign": field("foreign", "odell")},
        treatments=(MIX,),
        sprays=Records(),
        looks=Records(),
        consents=Records(),
    )


def kept(desk: LinkDesk) -> list[Any]:
    return [*desk.sprays.kept, *desk.looks.kept, *desk.consents.kept]  # type: ignore[attr-defined]


def token(purpose: Purpose, person: Person = ANA, field_id: str = "own", **more: Any) -> str:
    if purpose == "undo":
        return _undo_of(person, field_id)
    if purpose == "unsubscribe":
        key = address_key("mail", person.email or "")
        return KEYS.sign(Link(purpose, person.id, address_key=key))
    return KEYS.sign(
        Link(purpose, person.id, field_id, "2026-10-06", expires_utc=more.get("until", WEEK))
    )


def _undo_of(person: Person, field_id: str) -> str:
    until, on = NOW + timedelta(days=1), "2026-10-06"
    return KEYS.sign(Link("undo", person.id, field_id, on, expires_utc=until, record_id=str(SOME)))


@pytest.mark.parametrize("purpose", [one for one in PURPOSES if one != "undo"])
def test_a_link_that_is_only_opened_changes_nothing_however_often(
    desk: LinkDesk, purpose: Purpose
) -> None:
    pages = {desk.show(purpose, token(purpose), NOW) for _ in range(3)}

    (page,) = pages
    assert (page.status, bool(page.button)) == (200, True)
    assert kept(desk) == []


def test_pressing_sprayed_writes_one_record_down_now_and_pressing_again_none(
    desk: LinkDesk,
) -> None:
    first = desk.act("sprayed", token("sprayed"), NOW)
    again = desk.act("sprayed", token("sprayed"), NOW + timedelta(hours=3))
    shown = desk.show("sprayed", token("sprayed"), NOW + timedelta(hours=3))

    assert first.lines == ("Written down: sprayed Tue 6 Oct, 14:30.",)
    assert again.lines == shown.lines == ("It is written down already: sprayed Tue 6 Oct, 14:30.",)
    assert shown.button == ""
    (spray,) = kept(desk)
    assert isinstance(spray, Spray)
    assert (spray.field_id, spray.treatment_id, spray.sprayed_utc) == ("own", "mix", NOW)
    assert spray.note == "told by ana with the link in the mail of 2026-10-06"


def test_a_field_another_person_already_reported_is_not_written_down_twice(
    desk: LinkDesk,
) -> None:
    desk.act("sprayed", token("sprayed", PAT), NOW)
    desk.act("sprayed", token("sprayed", ANA), NOW + timedelta(minutes=5))

    assert len(kept(desk)) == 1


def test_a_spray_of_an_earlier_day_does_not_hide_that_of_today(desk: LinkDesk) -> None:
    desk.act("sprayed", token("sprayed"), NOW - timedelta(days=9))
    assert len(kept(desk)) == 1
    later = KEYS.sign(Link("sprayed", "ana", "own", "2026-10-07", expires_utc=WEEK))
    desk.act("sprayed", later, NOW + timedelta(days=1))

    assert len(kept(desk)) == 2


def test_without_the_label_numbers_nothing_is_written_down(desk: LinkDesk) -> None:
    bare = replace(desk, treatments=(MIX.model_copy(update={"reentry_h": None}),))
    page = bare.act("sprayed", token("sprayed"), NOW)

    assert page.status == 404
    assert "re-entry time" in page.lines[0]
    assert kept(bare) == []


def test_asking_for_a_look_is_kept_once(desk: LinkDesk) -> None:
    desk.act("look-again", token("look-again"), NOW)
    page = desk.act("look-again", token("look-again"), NOW + timedelta(hours=1))

    assert page.lines == ("You have asked for this already.",)
    (asked,) = kept(desk)
    assert isinstance(asked, LookRequest)
    assert (asked.field_id, asked.person_id, asked.asked_utc) == ("own", "ana", NOW)


def test_unsubscribe_ends_the_mails_of_that_address_at_once_and_twice_is_harmless(
    desk: LinkDesk,
) -> None:
    first = desk.act("unsubscribe", token("unsubscribe"), NOW)
    again = desk.act("unsubscribe", token("unsubscribe"), NOW + timedelta(days=200))

    assert first == again
    assert first.status == 200
    (word,) = kept(desk)
    assert (word.word, word.channel, word.person_id) == ("stop", "mail", "ana")
    assert word.address_masked == "a***@example.com"
    assert desk.show("unsubscribe", token("unsubscribe"), NOW).button == ""


def test_an_old_link_does_not_end_the_mails_to_a_new_address(desk: LinkDesk) -> None:
    old = token("unsubscribe")
    moved = replace(desk, people=(ANA.model_copy(update={"email": "new@example.com"}), PAT))

    assert moved.act("unsubscribe", old, NOW).status == 200
    assert kept(moved) == []


def test_who_asked_for_mails_again_can_end_them_again(desk: LinkDesk) -> None:
    desk.act("unsubscribe", token("unsubscribe"), NOW)
    (stop,) = kept(desk)
    desk.consents.add(stop.model_copy(update={"word": "allow", "uuid": Spray.__hash__}))
    desk.act("unsubscribe", token("unsubscribe"), NOW + timedelta(days=1))

    assert [one.word for one in kept(desk)] == ["stop", "allow", "stop"]


REFUSED = [
    ("expired", token("sprayed", until=NOW), 410),
    ("not the reader's field", token("sprayed", ANA, "foreign"), 404),
    ("a field that is gone", token("sprayed", PAT, "gone"), 404),
    ("a person who is gone", KEYS.sign(Link("sprayed", "x", "own", "2026-10-06", "", WEEK)), 404),
    ("another purpose", token("look-again"), 404),
    ("another key", LinkKeys(("z" * 40,)).sign(Link("sprayed", "ana", "own", "", "", WEEK)), 404),
    ("changed", token("sprayed")[:-2] + "AA", 404),
    ("nothing", "", 404),
]


@pytest.mark.parametrize(("_", "bad", "status"), REFUSED, ids=[one[0] for one in REFUSED])
@pytest.mark.parametrize("way", ["show", "act"])
def test_what_does_not_hold_is_refused_in_one_line_and_changes_nothing(
    desk: LinkDesk, _: str, bad: str, status: int, way: str
) -> None:
    page = getattr(desk, way)("sprayed", bad, NOW)

    assert (page.status, page.title, len(page.lines), page.button) == (
        status,
        "Nothing was changed",
        1,
        "",
    )
    assert "foreign" not in " ".join(page.lines)
    assert kept(desk) == []


def test_a_consultant_may_report_any_field(desk: LinkDesk) -> None:
    assert desk.act("sprayed", token("sprayed", PAT, "foreign"), NOW).status == 200


def test_a_record_that_could_not_be_kept_is_not_said_to_be(
    desk: LinkDesk, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> bool:
        raise OSError("disk full")

    monkeypatch.setattr(desk.sprays, "add", full)
    with pytest.raises(OSError, match="disk full"):
        desk.act("sprayed", token("sprayed"), NOW)
