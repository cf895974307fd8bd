"""Many readers for a benchmark farm: growers with fields of their own, and who works for all."""

from collections.abc import Iterator
from pathlib import Path

#: Share of the readers who see every field: operators, consultants and dispatchers.
STAFF_FRAC = 0.03
#: Fields that one rig has to see to; the more fields, the more rigs, so that the line of a big
#: farm is as long as that of a small one.
FIELDS_A_RIG = 100
#: What is picked for each field registered [ac/day], as on the demo farm.
PICKED_A_FIELD_AC = 4.4
#: Variable that holds the invented key of the links in the mails, and the key.
LINK_KEY_ENV, LINK_KEY = "WARMSPELL_BENCHMARK_LINK_KEY", "3f" * 32

_STAFF = ("operator", "consultant", "dispatcher")


def grower_ids(people: int) -> tuple[str, ...]:
    """The growers of a farm with so many readers."""
    return tuple(f"grower-{n:04d}" for n in range(people - _staff(people)))


def put_in(config_path: Path, people: int, fields: int) -> None:
    """Put ``people`` readers, their growers, rigs and links in a farm file, for those it names."""
    text = config_path.read_text(encoding="utf-8")
    before, _, rest = text.partition("[[growers]]")
    _, _, rest = rest.partition("[[rigs]]")
    after = rest[rest.index("[[treatments]]") :]
    before = before.replace(
        "acres_per_day = 110", f"acres_per_day = {PICKED_A_FIELD_AC * fields:.0f}"
    )
    links = f'[links]\nbase_url = "https://board.example.org"\nkey_env = "{LINK_KEY_ENV}"\n'
    parts = (before, *_growers(people), *_people(people), *_rigs(fields), after, links)
    config_path.write_text("\n".join(parts), encoding="utf-8")


def _staff(people: int) -> int:
    return min(people, max(len(_STAFF), round(STAFF_FRAC * people)))


def _growers(people: int) -> Iterator[str]:
    for one in grower_ids(people):
        yield f'[[growers]]\nid = "{one}"\nname = "Land of {one}"\n'


def _people(people: int) -> Iterator[str]:
    for n in range(_staff(people)):
        role = _STAFF[n % len(_STAFF)]
        yield _person(f"staff-{n:04d}", role)
    for n, grower in enumerate(grower_ids(people)):
        # Every second one has a telephone, so texts are written and checked too.
        phone = f'phone = "+1202555{100 + n % 100:04d}"\n' if n % 2 else ""
        yield _person(f"reader-{n:04d}", "grower") + f'{phone}grower_ids = ["{grower}"]\n'


def _person(name: str, role: str) -> str:
    return (
        f'[[people]]\nid = "{name}"\nname = "Reader {name}"\nrole = "{role}"\n'
        f'email = "{name}@example.org"\n'
    )


def _rigs(fields: int) -> Iterator[str]:
    for n in range(max(2, fields // FIELDS_A_RIG)):
        yield (
            f'[[rigs]]\nid = "rig-{n}"\nname = "Sprayer {n}"\nkind = "ground"\nspeed_mph = 12\n'
            "swath_ft = 90\nefficiency_frac = 0.65\ntank_gal = 1200\nrefill_min = 20\n"
        )
