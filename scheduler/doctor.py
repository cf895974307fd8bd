"""Looks at everything a morning stands on, each look with its own time and its own line."""

import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

from scheduler import exit_codes

Word = Literal["OK", "LOOK", "FAULT"]

#: Longest a look may take [s]; judgement.
QUICK_S = 15.0
#: Longest a look through the whole database may take [s]; judgement.
THOROUGH_S = 300.0


@dataclass(frozen=True)
class Finding:
    """What one look found.

    ``word`` is OK, LOOK where a person should look at it some time, or FAULT where mornings fail
    or will; ``code`` is the exit code of a fault.
    """

    word: Word
    told: str
    code: int = exit_codes.OK


@dataclass(frozen=True)
class Check:
    """One look: its name, what it does, how long it may take [s], and the code of its failure."""

    name: str
    look: Callable[[], Finding]
    code: int
    longest_s: float = QUICK_S


@dataclass(frozen=True)
class Looked:
    """A check and what it found."""

    name: str
    finding: Finding


def ok(told: str) -> Finding:
    """All is well."""
    return Finding("OK", told)


def look(told: str) -> Finding:
    """Somebody should look at it."""
    return Finding("LOOK", told)


def fault(told: str, code: int) -> Finding:
    """Mornings fail by this, or will."""
    return Finding("FAULT", told, code)


def look_at_all(checks: Sequence[Check]) -> tuple[Looked, ...]:
    """Carry out every check at once, and tell them in their order.

    A check that fails in a way nobody thought of, or does not come back, is a fault of its own
    and hides none of the others.
    """
    found: list[Finding | None] = [None] * len(checks)

    def carry_out(place: int) -> None:
        found[place] = _carried_out(checks[place])

    threads = [
        # They may hang in a network for good; the program ends all the same.
        threading.Thread(target=carry_out, args=(place,), daemon=True)
        for place in range(len(checks))
    ]
    for thread in threads:
        thread.start()
    began_s = time.monotonic()
    looked = []
    for place, (check, thread) in enumerate(zip(checks, threads, strict=True)):
        thread.join(max(0.0, began_s + check.longest_s - time.monotonic()))
        late = fault(f"no answer within {check.longest_s:g} s", check.code)
        looked.append(Looked(check.name, found[place] or late))
    return tuple(looked)


def _carried_out(check: Check) -> Finding:
    from storage.errors import StorageError
    from storage.looked_at import NoDatabaseYetError

    try:
        found = check.look()
    except NoDatabaseYetError as error:
        # Told in full once; every other check would say the same.
        return look(str(error) if check.name == "database" else "there is no database yet")
    except StorageError as error:
        code = exit_codes.TRY_LATER if error.busy else exit_codes.DATABASE
        return fault(str(error), code)
    except Exception as error:
        # What others say in an error may hold an address or a password.
        return fault(f"the look itself failed ({type(error).__name__})", check.code)
    return found


def exit_code(looked: Sequence[Looked]) -> int:
    """The gravest code of all faults, 0 where there is none."""
    return exit_codes.worst(one.finding.code for one in looked)


def lines(looked: Sequence[Looked]) -> list[str]:
    """One line for each check."""
    wide = max((len(one.name) for one in looked), default=0)
    return [
        f"{one.finding.word:<5}  {one.name:<{wide}}  {' '.join(one.finding.told.split())}"
        for one in looked
    ]
