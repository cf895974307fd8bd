"""D04: what was queued before the disk was full still goes out, once each."""

import logging
import resource
from collections.abc import Iterator
from contextlib import contextmanager

import pytest

from scheduler.spare_room import SPARE_BYTES
from tests.reliability.desk import desk_of


@contextmanager
def full_disk(folder, worker, monkeypatch) -> Iterator[None]:
    """No file of this process can grow, until the room held in reserve is given up."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    held = folder / "warmspell.spare-room"
    # Without blocks of its own it would free nothing.
    assert held.stat().st_blocks * 512 >= SPARE_BYTES
    least = min(one.stat().st_size for one in folder.glob("warmspell.sqlite3*"))
    true = worker.spare.give_up

    def give_up() -> bool:
        was_held = true()
        if was_held:
            resource.setrlimit(resource.RLIMIT_FSIZE, (least + SPARE_BYTES, hard))
        return was_held

    monkeypatch.setattr(worker.spare, "give_up", give_up)
    monkeypatch.setattr(worker.spare, "take", lambda: None)
    resource.setrlimit(resource.RLIMIT_FSIZE, (least, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


@pytest.mark.fault("D04")
@pytest.mark.parametrize("queued", [True, False])
def test_digests_go_out_though_the_disk_is_full(mill, monkeypatch, caplog, queued):
    """Full after they were queued, and full before the morning was made."""
    caplog.set_level(logging.CRITICAL)
    one = mill()
    port = one.room.mail_port
    with desk_of(one) as desk:
        mail = desk.worker.channels["mail"]
        settings = mail._channel._settings
        if queued:
            mail._channel._settings = settings.model_copy(update={"port": 9})
        desk.at("2026-10-06T06:00:05" if queued else "2026-10-06T05:00")
        assert desk.mails == []
        mail._channel._settings = settings
        assert settings.port == port
        with full_disk(one.folder, desk.worker, monkeypatch):
            for minute in (10, 11, 12):
                desk.at(f"2026-10-06T06:{minute}")

    assert one.broken() == []
    (alarm,) = desk.of_kind("alarm-disk")
    assert alarm["To"] == "p0@example.org"
