"""The page of every number the calls rest on, written from the constants themselves.

    python -m scripts.write_agronomy_docs

writes docs/agronomy.md; a test fails while that file and the constants say different things.
"""

import re
from collections.abc import Iterable
from pathlib import Path

from scripts.agronomy_constants import Constant, Group, groups_in, values_in

HOUSE = Path(__file__).resolve().parent.parent
PAGE = HOUSE / "docs" / "agronomy.md"

#: Files whose classes can be set, and the table of farm.toml that sets each.
SETTINGS = {
    "agronomy/thresholds.py SprayGates": "gates",
    "agronomy/thresholds.py MaturityRules": "maturity",
    "dispatch/policy.py DispatchPolicy": "dispatch",
    "dispatch/policy.py Climate": "climate",
}
ROOMS = ("agronomy", "dispatch")

TOP = """# Agronomy: every number, its unit, and where it comes from

Written by `python -m scripts.write_agronomy_docs` from the constants in `agronomy/` and `dispatch/`
and from [sources.md](sources.md); do not edit. How the odds of freezing were derived is told in
[freeze_odds.md](freeze_odds.md).

What a value rests on:

- **printed**: a source prints it, or what it was worked out from; the codes are spelled out beside
  it and at the end.
- **measured**: from data that the comment names.
- **simulated**: from simulated seasons.
- **common practice**: a rule of the trade that no printed source was found for.
- **from memory**: nobody here has seen it in print. An open assumption.
- **judgement**: our own choice.
- **definition**: it is what the word means.
- **not marked**: nothing is claimed; mostly how a number is worked out, nothing about cotton.

The label is the law: hours without rain, re-entry and preharvest intervals are the user's, and a
stricter label wins over any value here.
"""

SETTABLE = """
## What you can set

In the table of `farm.toml` named with each, for all fields, for a region or for one field.
"""

FIXED = """
## What is fixed in the formulas
"""

HEAD = """| name | value | unit | what | rests on | why, and sources |
|---|---|---|---|---|---|
"""


def page(house: Path = HOUSE) -> str:
    """The whole page as text."""
    groups = all_groups(house)
    spelled = sources_of((house / "docs" / "sources.md").read_text("utf-8"))
    settable = [group for group in groups if group.place in SETTINGS]
    settable.sort(key=lambda group: list(SETTINGS).index(group.place))
    fixed = [group for group in groups if group.place not in SETTINGS]
    parts = [TOP, SETTABLE]
    parts += [
        _section(group, f"`[{SETTINGS[group.place]}]` {group.title}", spelled) for group in settable
    ]
    parts.append(FIXED)
    parts += [_section(group, f"`{group.place}` {group.title}", spelled) for group in fixed]
    parts += _of_sources_page((house / "docs" / "sources.md").read_text("utf-8"))
    parts.append(_sources_used(groups, spelled))
    return "".join(parts).rstrip() + "\n"


def all_groups(house: Path = HOUSE) -> list[Group]:
    """Every group of constants in the pure rooms, in the order of the files' names."""
    files = sorted(path for room in ROOMS for path in (house / room).rglob("*.py"))
    texts = {path.relative_to(house).as_posix(): path.read_text("utf-8") for path in files}
    named = {name: value for text in texts.values() for name, value in values_in(text).items()}
    return [group for place, text in texts.items() for group in groups_in(text, place, named)]


def sources_of(text: str) -> dict[str, tuple[str, str]]:
    """What each code says and which source it stands for, from the table of sources.md."""
    rows = re.findall(r"^\| *(S\d+[a-z]?) *\|([^|]*)\|([^|]*)\|", text, re.MULTILINE)
    return {code: (says.strip(), source.strip()) for code, says, source in rows}


def codes_not_spelled_out(house: Path = HOUSE) -> list[str]:
    """Codes that a constant names and sources.md does not, as ``CODE at NAME``."""
    spelled = sources_of((house / "docs" / "sources.md").read_text("utf-8"))
    return [
        f"{code} at {one.name}"
        for group in all_groups(house)
        for one in group.constants
        for code in one.codes
        if code not in spelled
    ]


def _section(group: Group, title: str, spelled: dict[str, tuple[str, str]]) -> str:
    rows = "".join(_row(one, spelled) for one in group.constants)
    return f"\n### {title}\n\n{HEAD}{rows}"


def _row(one: Constant, spelled: dict[str, tuple[str, str]]) -> str:
    named = [f"*{code}* {spelled[code][1]}" for code in one.codes if code in spelled]
    why = " ".join(filter(None, (one.why, "; ".join(named))))
    cells = (f"`{one.name}`", one.value, one.unit, one.what, one.mark, why)
    return f"| {' | '.join(map(_cell, cells))} |\n"


def _cell(text: str) -> str:
    return " ".join(text.split()).replace("|", "\\|")


def _of_sources_page(text: str) -> list[str]:
    """The parts of sources.md that are no table: disagreements, and what was not found."""
    parts = re.split(r"^## ", text, flags=re.MULTILINE)[1:]
    return [f"\n## {part.rstrip()}\n" for part in parts]


def _sources_used(groups: Iterable[Group], spelled: dict[str, tuple[str, str]]) -> str:
    used = {code for group in groups for one in group.constants for code in one.codes}
    rows = [
        f"| {code} | {_cell(says)} | {_cell(source)} |\n"
        for code, (says, source) in spelled.items()
        if code in used
    ]
    return "\n## Sources named above\n\n| | what it says | source |\n|---|---|---|\n" + "".join(
        rows
    )


if __name__ == "__main__":
    PAGE.write_text(page(), "utf-8")
