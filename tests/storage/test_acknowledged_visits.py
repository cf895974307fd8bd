"""What was acknowledged is there, however the program ended."""

import random
import subprocess
import sys

import pytest

from storage.stores import open_stores

SCOUT = """
import sys
from datetime import UTC, datetime
from uuid import uuid4
from farm.records import Visit
from storage.stores import open_stores

now = datetime(2026, 10, 6, tzinfo=UTC)
with open_stores(sys.argv[1], ".") as stores:
    while True:
        visits = [Visit(uuid=uuid4(), field_id="f", observed_utc=now) for _ in range(3)]
        stores.visits.add(visits, now)
        print(*(visit.uuid for visit in visits), flush=True)
"""


@pytest.mark.fault("D05")
def test_no_acknowledged_visit_is_lost_when_the_program_is_killed(farm_address):
    chance = random.Random(6)
    acknowledged: set[str] = set()
    for _ in range(5):
        command = [sys.executable, "-c", SCOUT, farm_address]
        with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as child:
            assert child.stdout is not None
            for _ in range(chance.randint(1, 40)):
                acknowledged.update(child.stdout.readline().split())
            child.kill()
            # What it had said before it died, but for a line cut off in the middle.
            rest = child.stdout.read().split()
            acknowledged.update(word for word in rest if len(word) == 36)

    with open_stores(farm_address, ".") as stores:
        kept = [str(visit.uuid) for visit in stores.visits.all()]
    assert len(acknowledged) > 15
    assert acknowledged <= set(kept)
    # All three of an import or none.
    assert len(kept) % 3 == 0
