"""Visits and photos as the board keeps them: once, checked, and on the disk."""

import io
from uuid import UUID

import pytest
from PIL import Image

from web.scout_desk import VisitRefusal

UUID_ = "6a1c0d5e-7a11-4b0e-9d2f-0a4f6b1d2c3e"


@pytest.fixture
def field_id(farm):
    """A field of the demo."""
    return next(one.id for one in farm.config.fields if one.name == "Mesquite")


def picture(kind: str = "JPEG", side: int = 60, **saved: object) -> bytes:
    file = io.BytesIO()
    Image.new("RGB", (side, 40), (200, 190, 180)).save(file, kind, **saved)
    return file.getvalue()


def texts(field_id: str, **more: str) -> dict[str, str]:
    return {
        "field_id": field_id,
        "uuid": UUID_,
        "observed": "2026-10-06T05:40-05:00",
        "plant_nodes": "4 3 3 4 3 2 4 3",
        **more,
    }


def test_a_visit_is_kept_under_its_own_number_with_who_sent_it(desk, farm, field_id):
    kept = desk.scouting.add(texts(field_id, scout="somebody else"), "r.vale", None)
    assert (kept.uuid, kept.state) == (UUID(UUID_), "kept")
    visit = next(one for one in farm.stores.visits.all() if one.uuid == UUID(UUID_))
    assert (visit.scout, visit.plants_counted) == ("r.vale", 8)
    assert any("on 8 plants" in one for one in kept.said)


def test_a_visit_sent_again_is_known_and_kept_once(desk, farm, field_id):
    before = len(farm.stores.visits.all())
    desk.scouting.add(texts(field_id), "r.vale", None)
    assert desk.scouting.add(texts(field_id), "r.vale", None).state == "known"
    assert len(farm.stores.visits.all()) == before + 1


def test_another_visit_under_the_same_number_is_refused(desk, field_id):
    desk.scouting.add(texts(field_id), "r.vale", None)
    with pytest.raises(VisitRefusal) as refusal:
        desk.scouting.add(texts(field_id, plant_nodes="9 9"), "r.vale", None)
    assert refusal.value.problems[0][0] == "uuid"


def test_every_fault_of_a_visit_is_told_by_its_column(desk, farm, field_id):
    wrong = {"plant_nodes": "4 x", "percent_open": "120", "observed": "2027-01-01"}
    with pytest.raises(VisitRefusal) as refusal:
        desk.scouting.add(texts(field_id) | wrong, "r.vale", None)
    assert {column for column, _ in refusal.value.problems} == set(wrong)


def test_a_visit_without_a_time_is_of_now(desk, farm, field_id):
    kept = desk.scouting.add(texts(field_id, observed=""), "r.vale", None)
    visit = next(one for one in farm.stores.visits.all() if one.uuid == kept.uuid)
    assert visit.observed_utc == farm.now.replace(microsecond=0)


@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
def test_a_photo_is_kept_as_a_jpeg_of_its_visit(desk, field_id, kind):
    kept = desk.scouting.add(texts(field_id), "r.vale", picture(kind))
    photo = desk.scouting.photo(field_id, kept.uuid)
    assert photo is not None
    assert photo.startswith(b"\xff\xd8\xff")


def test_nothing_but_the_picture_stays_of_a_photo(desk, field_id):
    where = Image.Exif()
    where[0x010E] = "canary 33.5 N"
    kept = desk.scouting.add(texts(field_id), "r.vale", picture(exif=where) + b"<script>")
    photo = desk.scouting.photo(field_id, kept.uuid)
    assert b"canary" not in photo
    assert b"script" not in photo


def test_a_photo_belongs_to_the_field_of_its_visit(desk, farm, field_id):
    kept = desk.scouting.add(texts(field_id), "r.vale", picture())
    other = next(one.id for one in farm.config.fields if one.id != field_id)
    assert desk.scouting.photo(other, kept.uuid) is None


@pytest.mark.parametrize(
    "photo",
    [
        pytest.param(b"<svg onload='alert(1)'/>", id="not a picture"),
        pytest.param(b"\xff\xd8\xff\xe0 and no more", id="only begins like one"),
        pytest.param(picture("GIF"), id="another kind"),
        pytest.param(picture("PNG", side=9_000), id="too wide"),
    ],
)
def test_what_is_no_fit_photo_is_refused_and_no_visit_kept(desk, farm, field_id, photo):
    before = len(farm.stores.visits.all())
    with pytest.raises(VisitRefusal) as refusal:
        desk.scouting.add(texts(field_id), "r.vale", photo)
    assert refusal.value.problems[0][0] == "photo"
    assert len(farm.stores.visits.all()) == before
