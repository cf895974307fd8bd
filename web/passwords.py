"""Passwords: hashed with argon2, and never told from one another by the time it takes."""

import threading

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

#: Shortest and longest password taken [letters] (ASVS 6.2.1, 6.2.9: 8, better 15, and at least 64).
SHORTEST, LONGEST = 12, 128

_hasher = PasswordHasher()
#: Each takes 64 MiB while it works: however many try at once, only this many work.
_at_once = threading.Semaphore(2)
#: What a password is compared with where there is no account, so that it takes as long.
_nobody = _hasher.hash("nobody has this password")


def hash_of(password: str) -> str:
    """The hash to keep, with salt and costs; ValueError where the password is too short or long."""
    if not SHORTEST <= len(password) <= LONGEST:
        raise ValueError(
            f"password: got {len(password)} letters, wanted {SHORTEST} to {LONGEST}; "
            "four words that do not belong together are good"
        )
    return _hasher.hash(password)


def fits(password: str, kept_hash: str | None) -> bool:
    """Whether it is the password; as slow for an account that there is not."""
    try:
        with _at_once:
            same = _hasher.verify(kept_hash or _nobody, password[:LONGEST])
        return same and kept_hash is not None
    except (VerificationError, InvalidHashError):
        return False
