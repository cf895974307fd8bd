"""Photos of visits, in a folder beside the farm's files, each under its visit's own number."""

import io
import os
import tempfile
from collections.abc import Iterable
from pathlib import Path
from uuid import UUID

from PIL import Image, UnidentifiedImageError

#: Largest photo taken [bytes], and its longest side [px]; the form makes them smaller before.
MOST_BYTES, LONGEST_PX = 1_500_000, 2_000
#: Quality of what is kept, of 100. Judgement: a boll's stage can still be told.
QUALITY = 82


class UnfitPhotoError(ValueError):
    """Why a photo was not taken."""


class PhotoFolder:
    """The folder; it is made with the first photo."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def keep(self, uuid: UUID, photo: bytes) -> None:
        """Keep a photo, drawn anew: nothing but the picture stays, no place and no device.

        The first one of a visit stays.

        Raises
        ------
        UnfitPhotoError
            Not a JPEG or PNG picture, or too large.
        """
        place = self._place(uuid)
        if place.exists():
            return
        drawn = _drawn_anew(photo)
        self._folder.mkdir(mode=0o700, exist_ok=True)
        handle, unfinished = tempfile.mkstemp(dir=self._folder, suffix=".part")
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(drawn)
                file.flush()
                os.fsync(file.fileno())
            Path(unfinished).replace(place)
        except OSError:
            Path(unfinished).unlink(missing_ok=True)
            raise

    def read(self, uuid: UUID) -> bytes | None:
        """The photo of a visit, JPEG; None where there is none."""
        try:
            return self._place(uuid).read_bytes()
        except FileNotFoundError:
            return None

    def taken(self, uuids: Iterable[UUID]) -> frozenset[UUID]:
        """Those of some visits that have a photo."""
        return frozenset(one for one in uuids if self._place(one).exists())

    def _place(self, uuid: UUID) -> Path:
        return self._folder / f"{uuid}.jpg"


def _drawn_anew(photo: bytes) -> bytes:
    if len(photo) > MOST_BYTES:
        raise UnfitPhotoError(
            f"got {len(photo) / 1e6:.1f} MB, wanted at most {MOST_BYTES / 1e6:.1f} MB; take another"
        )
    try:
        with Image.open(io.BytesIO(photo), formats=("JPEG", "PNG")) as picture:
            # Its size is told by its head: nothing large is unpacked to find out.
            if max(picture.size) > LONGEST_PX:
                raise UnfitPhotoError(
                    f"got {picture.size[0]} by {picture.size[1]} px, wanted at most {LONGEST_PX}"
                )
            drawn = io.BytesIO()
            picture.convert("RGB").save(drawn, "JPEG", quality=QUALITY)
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError) as fault:
        if isinstance(fault, UnfitPhotoError):
            raise
        raise UnfitPhotoError("got no JPEG or PNG picture; take another, or leave it out") from None
    return drawn.getvalue()
