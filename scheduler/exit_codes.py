"""Exit codes of the command line, and which one wins when several apply.

The numbers from 64 up are those of BSD's sysexits, so that other programs can read them too.
"""

from collections.abc import Iterable

#: Everything known and sent.
OK = 0
#: Done, but the call of some fields is not known.
SOME_UNKNOWN = 3
#: Some people did not get their digest.
SOME_UNDELIVERED = 4
#: The command was asked in a way it does not know.
USAGE = 64
#: A file with data holds something that cannot be used.
BAD_DATA = 65
#: No forecast at all; the digest went out and says so.
NO_FORECAST = 69
#: A fault of this program.
INTERNAL = 70
#: The database cannot be read or written.
DATABASE = 74
#: Another one runs, or nothing is there yet: try again later.
TRY_LATER = 75
#: The config file, or a file it names, cannot be used.
CONFIG = 78

#: Gravest first.
PRECEDENCE = (
    CONFIG,
    USAGE,
    DATABASE,
    INTERNAL,
    TRY_LATER,
    BAD_DATA,
    SOME_UNDELIVERED,
    NO_FORECAST,
    SOME_UNKNOWN,
    OK,
)


def worst(codes: Iterable[int]) -> int:
    """The code to exit with when all of ``codes`` apply; ``OK`` for none.

    Raises
    ------
    ValueError
        For a number that is not an exit code of ours.
    """
    found = set(codes)
    strangers = found.difference(PRECEDENCE)
    if strangers:
        known = ", ".join(str(code) for code in PRECEDENCE)
        raise ValueError(f"exit codes: got {sorted(strangers)}, wanted some of {known}")
    return next((code for code in PRECEDENCE if code in found), OK)
