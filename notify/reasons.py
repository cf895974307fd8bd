"""The reasons of a call that are not told by a figure of the digest already."""

from dispatch.report import FieldCall
from notify.user_text import plain_line, with_stop

#: How sentences begin that repeat what a card or row says in its own place.
_TOLD_BY_FIGURES = (
    "Effect ",
    "Freeze within ",
    "Warmth: ",
    "Mature: ",
    "Nearly mature: ",
    "Not mature: ",
    "Maturity not known: ",
)


def sentences(said: tuple[str, ...]) -> tuple[str, ...]:
    """Sentences on one line each, none twice, each with its full stop."""
    return tuple(dict.fromkeys(with_stop(one) for one in said if plain_line(one)))


def telling_reasons(one: FieldCall) -> tuple[str, ...]:
    """The reasons of a call that add to its figures, in order."""
    deciding = set(sentences(one.because))
    return tuple(
        said
        for said in sentences(one.reasons)
        if said in deciding or not said.startswith(_TOLD_BY_FIGURES)
    )
