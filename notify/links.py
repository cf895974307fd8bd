"""Links in mails: signed words that say who may do what to which field, and until when."""

import hashlib
import re
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Literal, get_args

from itsdangerous import BadData, URLSafeSerializer, base64_decode, base64_encode

Purpose = Literal["sprayed", "look-again", "unsubscribe", "undo"]
PURPOSES: tuple[Purpose, ...] = get_args(Purpose)

#: Shortest key taken [letters]: 32 letters of hexadecimal are 128 bits.
KEY_LENGTH = 32
#: Longest token looked at [letters]; ours are shorter.
TOKEN_LENGTH = 600
#: A digest is searched for these, as signs of a value that was not filled in.
_LOOKS_UNFILLED = re.compile(r"\b(nan|inf|None|Undefined)\b", re.ASCII)


class LinkError(ValueError):
    """A link that does not do what is asked of it, in one line for its reader."""

    def __init__(self, message: str, *, expired: bool = False) -> None:
        super().__init__(message)
        self.expired = expired


@dataclass(frozen=True)
class Link:
    """What a link says: ``field_id`` is "" and ``expires_utc`` None where it has none.

    ``address_key`` binds the end of mails to the address they went to, so that an old link never
    stops a new one. ``record_id`` is the record an "undo" takes back.
    """

    purpose: Purpose
    person_id: str
    field_id: str = ""
    local_date: str = ""
    address_key: str = ""
    expires_utc: datetime | None = None
    record_id: str = ""

    @property
    def name(self) -> str:
        """What is the same for every link to the same deed."""
        return "/".join((self.purpose, self.person_id, self.field_id, self.local_date))


@dataclass(frozen=True)
class LinkKeys:
    """Keys that links are signed with: the first signs, each is accepted."""

    keys: tuple[str, ...] = field(repr=False)

    @classmethod
    def from_text(cls, text: str) -> "LinkKeys":
        """Keys with spaces between, the newest first; ValueError where one is too short."""
        keys = tuple(text.split())
        shortest = min((len(key) for key in keys), default=0)
        if shortest < KEY_LENGTH:
            raise ValueError(
                f"key of links: got {shortest} letters, wanted at least {KEY_LENGTH} random ones; "
                "make one with: openssl rand -hex 32"
            )
        return cls(keys)

    def sign(self, link: Link) -> str:
        """The token of a link."""
        told = self._signed(link, link.expires_utc)
        # Chance may spell what the check of finished digests takes for a gap: a second later
        # spells otherwise.
        for later_s in range(1, 60):
            if not _LOOKS_UNFILLED.search(told):
                break
            until = link.expires_utc or datetime.fromtimestamp(0, UTC)
            told = self._signed(link, until + timedelta(seconds=later_s))
        return told

    def read(self, token: str, purpose: Purpose, now: datetime) -> Link:
        """The link behind a token.

        Raises
        ------
        LinkError
            It was not signed by us or was changed, is meant for something else, or has expired.
        """
        if len(token) > TOKEN_LENGTH:
            raise LinkError("This link is not one of ours. Use the one in the mail.")
        try:
            _refuse_other_spelling(token)
            told = self._signer(purpose).loads(token)
            link = _link(purpose, told)
        except (BadData, ValueError, TypeError, OverflowError):
            raise LinkError(
                "This link is damaged or not one of ours. Use the one in the mail as it stands."
            ) from None
        if link.expires_utc is not None and now >= link.expires_utc:
            raise LinkError("This link has expired. Use the one in a newer mail.", expired=True)
        return link

    def _signed(self, link: Link, expires_utc: datetime | None) -> str:
        until = 0 if expires_utc is None else int(expires_utc.timestamp())
        if link.expires_utc is None and expires_utc is not None:
            until = -until
        bound_to = link.record_id if link.purpose == "undo" else link.address_key[:16]
        told = [link.person_id, link.field_id, link.local_date, bound_to, until]
        return str(self._signer(link.purpose).dumps(told))

    def _signer(self, purpose: Purpose) -> URLSafeSerializer:
        # The library signs with the last key of the list and accepts them all.
        return URLSafeSerializer(
            list(reversed(self.keys)),
            salt=f"warmspell link {purpose}",
            signer_kwargs={"key_derivation": "hmac", "digest_method": _sha256},
        )


def _refuse_other_spelling(token: str) -> None:
    """Raise ValueError where letters were changed that happen to mean the same."""
    parts = token.removeprefix(".").split(".")
    if any(base64_encode(base64_decode(part)) != part.encode() for part in parts):
        raise ValueError("not as it was written")


def _link(purpose: Purpose, told: object) -> Link:
    if not isinstance(told, list) or len(told) != 5:
        raise ValueError("not a link")
    *texts, until = told
    if not all(isinstance(one, str) for one in texts) or not isinstance(until, int):
        raise ValueError("not a link")
    # Nothing but the end of mails may be without an end.
    if until <= 0 and purpose != "unsubscribe":
        raise ValueError("not a link")
    expires_utc = datetime.fromtimestamp(until, UTC) if until > 0 else None
    person_id, field_id, local_date, bound_to = texts
    key, record = ("", bound_to) if purpose == "undo" else (bound_to, "")
    return Link(purpose, person_id, field_id, local_date, key, expires_utc, record)


def _sha256(data: bytes = b"") -> "hashlib._Hash":
    # The library's own default is SHA-1.
    return hashlib.sha256(data)
