"""What an answer to a text message asks for: to stop, to start again, or help.

Seven words must end the texts: stop, quit, end, revoke, opt out, cancel, unsubscribe, and so must
any other clear wording. 47 CFR 64.1200(a)(10), 89 FR 15756, 5 March 2024; the other words and
sentences here are common practice, no source.
"""

import re
import unicodedata
from typing import Literal

Wish = Literal["stop", "start", "help", "unclear", "none"]


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


_STOP = _words("stop stopp stopall stops quit end revoke optout cancel unsubscribe unsub remove")
#: What phones make of them, and Spanish, common in cotton country.
_STOP |= _words("unsuscribe unsubcribe unsubscribed parar pare alto basta cancelar")
_START = _words("start unstop optin resume restart subscribe empezar")
_HELP = _words("help info ayuda helpme")
#: Words that change nothing about the one they stand beside.
_FILLERS = _words(
    """a again alert alerts all already and any anymore asap at can could digest digests favor for
    from getting go hello hey hi i id im immediately it just kindly like list me message messages
    messaging msg msgs my need notifications now number of ok okay on once phone please pls plz por
    receiving right sending service sir sms subscription text texting texts thank thanks that the
    them these thing this those thx to today us wanna want wish with would you your"""
)
_NOT = r"(?:do not|dont|did not|never|not)"
_NEGATED = re.compile(rf"\b{_NOT} (?:\w+ )?(?:{'|'.join(sorted(_STOP))})\b")
_MESSAGES = (
    r"(?:text|texts|texting|message|messages|messaging|msgs?|sms|contact|contacting"
    r"|send(?:ing)? (?:me|us|these|any|texts?|messages?))"
)
#: Sentences that say it without one of the words alone.
_PHRASES = re.compile(
    rf"\b(?:do not|dont|never|no more|stop|quit|cease)(?: \w+)? {_MESSAGES}\b"
    r"|\b(?:take|remove|delete|drop|get) (?:me|us|my|this)(?: \w+){0,3} (?:off|from|list)\b"
    r"|\b(?:remove|delete|drop) (?:me|us|my number|this number|my phone)\b"
    r"|\b(?:unsubscribe|optout)\b"
    r"|\b(?:revoke|withdraw|cancel)(?: \w+)? (?:consent|permission|subscription)\b"
    r"|\bleave (?:me|us) alone\b|\bwrong (?:number|person)\b|\blose my number\b"
    r"|\bno (?:me )?(?:envie|envien|mande|manden)\b"
)


#: Letters looked at; a text message holds fewer, and a longer answer costs no more.
_LOOKED_AT = 1000


def wish_of(text: str) -> Wish:
    """What an answer asks for.

    ``unclear`` holds one of the words in a sentence that may mean something else ("we stop at the
    gin"): a person must read it. Stop wins over anything else that is said beside it.
    """
    sentences = [_plain(one) for one in re.split(r"[.!?;:,\n\r-]+", text[:_LOOKED_AT])]
    whole = _plain(text[:_LOOKED_AT])
    if any(_only(one, _STOP) for one in (whole, *sentences)):
        return "stop"
    if _NEGATED.search(whole):
        return "unclear"
    if _PHRASES.search(whole) or (_only(whole, _STOP | _START) and _STOP & set(whole.split())):
        return "stop"
    if _only(whole, _START):
        return "start"
    if _only(whole, _HELP):
        return "help"
    return "unclear" if _STOP & set(whole.split()) else "none"


def _plain(text: str) -> str:
    """Small letters and single spaces, "opt out" and the like as one word, and d.o.t.s gone."""
    shown = unicodedata.normalize("NFKD", text).casefold()
    letters = "".join(one for one in shown if not unicodedata.combining(one))
    words = re.sub(r"[^a-z0-9]+", " ", re.sub(r"['\N{RIGHT SINGLE QUOTATION MARK}]", "", letters))
    joined = re.sub(r"\bopt(?:ing)?(?: me| us)? (out|in)\b", r"opt\1", words)
    joined = re.sub(r"\bstop all\b", "stopall", joined)
    return " ".join(joined.split())


def _only(sentence: str, wanted: frozenset[str]) -> bool:
    """Whether nothing but words wanted is left once the fillers are gone."""
    if sentence.replace(" ", "") in wanted:
        return True
    left = [word for word in sentence.split() if word not in _FILLERS]
    return bool(left) and all(word in wanted for word in left)
