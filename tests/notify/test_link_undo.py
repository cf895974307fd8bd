"""What a link wrote down is taken back by another, for a day, once, and by nobody else."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from uuid import UUID

import pytest
from test_link_actions import ANA, KEYS, MIX, PAT, Records
from test_link_actions import field as registered

from farm.records import Spray
from notify.link_actions import LinkDesk
from notify.links import Link, LinkError

NOW = datetime(2026, 10, 6, 19, 30, tzinfo=UTC)
HOUR = timedelta(hours=1)


@dataclass
class Standing(Records):
    """Sprays, without those that were taken back; pressed again they are entered anew."""

    kept: list[Spray] = field(default_factory=list)
    gone: dict[UUID, str] = field(default_factory=dict)

    def of_field(self, field_id: str) -> tuple[Spray, ...]:
        own = (one for one in self.kept if one.field_id == field_id)
        return tuple(one for one in own if one.uuid not in self.gone)

    def add(self, record: Spray, *_: object) -> bool:
        if record.uuid in self.gone:
            record = record.model_copy(update={"uuid": UUID(int=record.uuid.int ^ 1)})
        return super().add(record)

    def take_back(self, of_uuid: UUID, now: datetime, by: str) -> None:
        self.gone.setdefault(of_uuid, by)


@pytest.fixture
def sprays() -> Standing:
    return Standing()


@pytest.fixture
def desk(sprays: Standing) -> LinkDesk:
    return LinkDesk(
        keys=KEYS,
        people=(ANA, PAT),
        fields={"own": registered("own", "ruhl"), "foreign": registered("foreign", "odell")},
        treatments=(MIX,),
        sprays=sprays,
        looks=Records(),
        consents=Records(),
        take_back=sprays.take_back,
    )


def sprayed(person_id: str = "ana", field_id: str = "own") -> str:
    until = NOW + timedelta(days=7)
    return KEYS.sign(Link("sprayed", person_id, field_id, "2026-10-06", expires_utc=until))


def test_pressing_sprayed_offers_an_undo_that_takes_that_spray_back(
    desk: LinkDesk, sprays: Standing
) -> None:
    undo = desk.act("sprayed", sprayed(), NOW).undo
    asked = desk.show("undo", undo, NOW + HOUR)
    assert (asked.title, asked.button) == ("own <b> was not sprayed?", "No, take it back")
    assert sprays.gone == {}

    pages = {desk.act("undo", undo, NOW + HOUR) for _ in range(2)}
    (page,) = pages
    assert (page.status, page.button, page.undo) == (200, "", "")
    assert sprays.gone == {sprays.kept[0].uuid: "ana"}
    assert desk.show("undo", undo, NOW + HOUR).button == ""


def test_after_an_undo_the_mails_link_works_again_and_the_old_undo_leaves_that_alone(
    desk: LinkDesk, sprays: Standing
) -> None:
    undo = desk.act("sprayed", sprayed(), NOW).undo
    desk.act("undo", undo, NOW + HOUR)
    again = desk.act("sprayed", sprayed(), NOW + 2 * HOUR)
    assert again.lines == ("Written down: sprayed Tue 6 Oct, 16:30.",)

    desk.act("undo", undo, NOW + 3 * HOUR)
    (standing,) = sprays.of_field("own")
    assert again.undo != undo
    desk.act("undo", again.undo, NOW + 3 * HOUR)
    assert standing.uuid in sprays.gone


def test_the_undo_is_offered_and_holds_for_a_day(desk: LinkDesk, sprays: Standing) -> None:
    undo = desk.act("sprayed", sprayed(), NOW).undo
    day = timedelta(hours=24)

    assert desk.show("sprayed", sprayed(), NOW + day - HOUR).undo
    assert desk.show("sprayed", sprayed(), NOW + day).undo == ""
    for way in (desk.show, desk.act):
        assert way("undo", undo, NOW + day + timedelta(minutes=2)).status == 410
    assert sprays.gone == {}


def test_nobody_is_offered_to_undo_what_another_reported(desk: LinkDesk) -> None:
    desk.act("sprayed", sprayed("pat"), NOW)

    assert desk.act("sprayed", sprayed("ana"), NOW).undo == ""
    assert desk.show("sprayed", sprayed("ana"), NOW).undo == ""


Spoil = Callable[[LinkDesk], LinkDesk]


@pytest.mark.parametrize(
    "spoil",
    [
        pytest.param(lambda desk: replace(desk, people=(PAT,)), id="the person is gone"),
        pytest.param(lambda desk: replace(desk, fields={}), id="the field is gone"),
        pytest.param(
            lambda desk: replace(desk, fields={"own": registered("own", "odell")}),
            id="the field is another grower's now",
        ),
        pytest.param(lambda desk: replace(desk, take_back=None), id="nothing can be taken back"),
    ],
)
def test_an_undo_that_does_not_hold_changes_nothing(
    desk: LinkDesk, sprays: Standing, spoil: Spoil
) -> None:
    undo = desk.act("sprayed", sprayed(), NOW).undo
    for way in ("show", "act"):
        assert getattr(spoil(desk), way)("undo", undo, NOW).status == 404
    assert sprays.gone == {}


@pytest.mark.parametrize("purpose", ["sprayed", "look-again", "unsubscribe"])
def test_an_undo_is_nothing_else_and_nothing_else_is_an_undo(desk: LinkDesk, purpose: str) -> None:
    undo = desk.act("sprayed", sprayed(), NOW).undo
    with pytest.raises(LinkError):
        KEYS.read(undo, purpose, NOW)  # type: ignore[arg-type]
    with pytest.raises(LinkError):
        KEYS.read(sprayed(), "undo", NOW)


def test_without_a_way_to_take_back_none_is_offered(desk: LinkDesk) -> None:
    assert replace(desk, take_back=None).act("sprayed", sprayed(), NOW).undo == ""
