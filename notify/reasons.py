"""The reasons of a call that are not told by a figure of the digest already."""

from dispatch.reasons import place_sentence
from dispatch.report import FieldCall
from notify.user_text import plain_line, with_stop


def sentences(said: tuple[str, ...]) -> tuple[str, ...]:
    """Sentences on one line each, none twice, each with its full stop."""
    return tuple(dict.fromkeys(with_stop(one) for one in said if plain_line(one)))


def telling_reasons(one: FieldCall) -> tuple[str, ...]:
    """The reasons of a call that add to its figures, in order."""
    place = (place_sentence(one.place_if_mature),) if one.place_if_mature else ()
    return sentences((*one.because, *place))
