"""What is negated is not acted on, however well the rest of it is heard."""

import pytest
from test_own_commands import KNOWN, spoken

from assistant.hearing.choose import Choice, Vocabulary, choose
from assistant.hearing.segment import whole
from assistant.speaking.voice import EspeakVoice

NEGATED = (
    "no report a problem crack",
    "do not start soak",
    "don't hand on to packing",
    "never sign off the session",
    "no next",
    "not affirmative",
)
# Commands that begin as a negation sounds, or hold one.
MEANT = ("nobody sent the insert", "next", "incorrect", "put on hold because not applicable")


@pytest.fixture(scope="module")
def recognizer():
    vocabulary = Vocabulary("en", KNOWN.grammar, KNOWN.automaton, KNOWN.pack.orthography)
    return choose(vocabulary, Choice.NEURAL).recognizer


@pytest.mark.parametrize("voice", ["en-us", "en-gb", "en-us+m3"])
def test_a_negation_completes_nothing(recognizer, voice):
    with EspeakVoice(voice, rate=150) as said:
        for text in NEGATED:
            heard = recognizer.hear(whole(spoken(said, text)))
            assert not heard.accepted, f"{text}: taken for {heard.text}"
        for text in MEANT:
            heard = recognizer.hear(whole(spoken(said, text)))
            assert heard.accepted, f"{text}: {heard.reason}"
            assert heard.text == text
