"""What an answer asks for: any clear stop stops, and nothing else does by accident."""

import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from notify.stop_words import wish_of

#: 47 CFR 64.1200(a)(10), as printed in 89 FR 15756 (5 March 2024).
SEVEN = ("stop", "quit", "end", "revoke", "opt out", "cancel", "unsubscribe")
BETWEEN = (" ", "", ".", "-", "  ", "\n")


@pytest.mark.fault("T07")
@given(
    st.sampled_from(SEVEN),
    st.lists(st.booleans(), min_size=11, max_size=11),
    st.sampled_from(["", " ", "\n", "\t ", '"', "¡", "\N{ZERO WIDTH SPACE}"]),
    st.sampled_from(["", ".", "!", "!!!", " ", "...", "\r\n", '"', " \N{PILE OF POO}", ","]),
    st.sampled_from(BETWEEN),
)
def test_each_of_the_seven_words_stops_in_any_case_with_any_spaces_and_signs(
    word, upper, before, after, between
):
    written = "".join(
        letter.upper() if up else letter for letter, up in zip(word, upper, strict=False)
    )
    assert wish_of(before + written.replace(" ", between) + after) == "stop"
    assert wish_of(before + between.join(written.replace(" ", "")) + after) == "stop"


PRACTICE = [
    "Please stop texting me",
    "stop now please",
    "STOP STOP STOP",
    "STOPALL",
    "Stop all",
    "opt me out",
    "I want to unsubscribe from these messages",
    "unsubscribe me",
    "dont text me anymore",
    "Don\N{RIGHT SINGLE QUOTATION MARK}t text me",
    "do not send me any more messages",
    "No more texts!",
    "Take me off your list",
    "please remove me from this list",
    "Remove my number",
    "I revoke my consent",
    "cancel my subscription",
    "can you cancel this",
    "end these texts",
    "QUIT texting me",
    "leave me alone",
    "wrong number",
    "Stop. You have the wrong man",
    "stop\nSent from my phone",
    "No thanks, stop",
    "start stop",
    "ALTO",
    "\N{FULLWIDTH LATIN CAPITAL LETTER S}\N{FULLWIDTH LATIN CAPITAL LETTER T}op",
]


@pytest.mark.parametrize("text", PRACTICE)
def test_other_clear_wording_stops_too(text):
    """Common practice, no source: the rule names no list beyond the seven."""
    assert wish_of(text) == "stop"


@pytest.mark.parametrize(
    "text",
    [
        "We stop at the gin at noon",
        "Did it stop raining?",
        "Cancel the spray on field 3",
        "please don't stop",
        "never stop",
        "do not cancel these texts",
        "The end of field 3 is wet",
        "stop sending the rig to North Draw",
    ],
)
def test_a_word_in_another_sentence_is_left_to_a_person(text):
    assert wish_of(text) == "unclear"


@pytest.mark.parametrize(
    ("text", "wish"),
    [
        ("START", "start"),
        ("unstop", "start"),
        ("Start again please", "start"),
        ("opt in", "start"),
        ("HELP", "help"),
        ("help me", "help"),
        ("info?", "help"),
        ("ok", "none"),
        ("Thanks", "none"),
        ("sprayed North Draw", "none"),
        ("weekend is fine, spend the day there, nonstop", "none"),
        ("do not send the rig", "none"),
        ("", "none"),
        (" \n", "none"),
    ],
)
def test_other_answers_are_told_apart(text, wish):
    assert wish_of(text) == wish


@given(st.text(max_size=400))
def test_any_text_has_an_answer(text):
    assert wish_of(text) in {"stop", "start", "help", "unclear", "none"}


@pytest.mark.parametrize("letter", ["a", " ", "do not ", "stop. ", "opt ", "'", "\n"])
def test_a_hundred_thousand_letters_cost_no_time(letter):
    began = time.perf_counter()
    wish_of(letter * (100_000 // len(letter)))
    assert time.perf_counter() - began < 0.05
