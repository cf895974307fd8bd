"""The names this board is called by. A page of another site cannot lend it a name of its own."""

from collections.abc import Iterable

#: This machine, as its own browsers call it.
LOCAL_NAMES = ("localhost", "127.0.0.1", "::1")


def bare_name(told: str) -> str:
    """A host without port and brackets, in small letters; "" where it is none."""
    name = told.strip().lower()
    if name.startswith("["):
        return name[1:].partition("]")[0]
    # An address of the sixth version without brackets has several colons, and no port.
    return (name if name.count(":") > 1 else name.partition(":")[0]).rstrip(".")


def answering_to(names: Iterable[str]) -> frozenset[str]:
    """All names a board answers to: its own, and this machine's."""
    return frozenset({*LOCAL_NAMES, *(bare_name(one) for one in names)} - {""})
