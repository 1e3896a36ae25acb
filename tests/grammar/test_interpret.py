"""From typed or heard sentences to commands, values exact."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from unicode_rbnf import RbnfEngine

from assistant.cli.vocabulary import shipped_vocabulary
from assistant.grammar.digits import DigitWriter
from assistant.grammar.interpret import number
from assistant.session.command import Command, Verb

KNOWN = shipped_vocabulary("en")
WRITER = DigitWriter(KNOWN.pack.orthography)
RBNF = RbnfEngine.for_language("en")


def meaning(text):
    parse = KNOWN.typed(text)
    return None if parse is None else KNOWN.command(parse.tags)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("one hundred five", "105"),
        ("one hundred and five", "105"),
        ("one oh five", "105"),
        ("one zero five", "105"),
        ("one two zero", "120"),
        ("three six", "36"),
        # Left out, because it makes "ninety nine" and "one ninety nine" neighbours.
        ("one twenty", None),
        ("98 point 6", "98.6"),
        ("ninety eight point six", "98.6"),
        ("98.6", "98.6"),
        ("zero point five", "0.5"),
        ("seven point two five", "7.25"),
        ("thirty", "30"),
        ("thirteen", "13"),
        ("two hundred one", "201"),
        ("two oh one", "201"),
        ("nine hundred ninety nine", "999"),
        ("999", "999"),
        ("four thousand", None),
        ("4,000", None),
        ("one two three four", None),
        ("oh oh five", None),
        ("twenty twenty", None),
        ("hundred", None),
    ],
)
def test_spoken_numbers_have_exactly_their_value(text, value):
    assert meaning(f"value {text}") == (None if value is None else Command(Verb.READING, value))


# The words of Unicode CLDR's number rules (library unicode-rbnf) are the outside check.
@given(st.integers(0, 999))
def test_every_number_that_cldr_spells_out_has_its_value(value):
    words = RBNF.format_number(value).text.replace("-", " ").replace(",", "")
    assert meaning(f"value {words}") == Command(Verb.READING, str(value))


@given(st.integers(0, 999), st.text("0123456789", min_size=1, max_size=3))
def test_decimals_are_spoken_digit_by_digit_and_kept_exactly(whole, fraction):
    words = RBNF.format_number(whole).text.replace("-", " ").replace(",", "")
    digits = " ".join(RBNF.format_number(int(digit)).text for digit in fraction)
    assert meaning(f"value {words} point {digits}") == Command(Verb.READING, f"{whole}.{fraction}")


@given(st.integers(100, 999))
def test_digit_by_digit_is_the_same_number(value):
    words = " ".join(RBNF.format_number(int(digit)).text for digit in str(value))
    assert number(words.split(), WRITER) == str(value)


@pytest.mark.parametrize(
    ("text", "command"),
    [
        ("next", Command(Verb.NEXT)),
        ("Start soak", Command(Verb.START_SOAK)),
        ("NEXT.", Command(Verb.NEXT)),
        ("switch to the shaft", Command(Verb.SWITCH, "shaft")),
        ("switch to outer tube", Command(Verb.SWITCH, "shaft")),
        ("value 35 degrees", Command(Verb.READING, "35")),
        ("value 35 degrees celsius", Command(Verb.READING, "35", "°C")),
        ("value one hundred degrees fahrenheit", Command(Verb.READING, "100", "°F")),
        ("lot number alfa three seven", Command(Verb.LOT, "A37")),
        ("lot number Alpha 37 x-ray", Command(Verb.LOT, "A37X")),
        ("lot number a37x", Command(Verb.LOT, "A37X")),
        ("lot number two two zero one", Command(Verb.LOT, "2201")),
        ("skip this step because not applicable", Command(Verb.SKIP, "not applicable")),
        ("report a problem worn insulation", Command(Verb.NOTE, "worn insulation")),
        ("sign off the session", Command(Verb.SIGN_OFF)),
    ],
)
def test_typed_words_mean_what_the_same_words_mean_when_heard(text, command):
    assert meaning(text) == command


@pytest.mark.parametrize(
    "text",
    [
        "",
        "text",
        "next next",
        "do not start soak",
        "don't start soak",
        "not next",
        "next stop",
        "start",
        "cancel the ten minute timer",
        "step 2",
        "[unk]",
        "näxt",
        "next 😀",
        "lot number",
        "value",
        "value warm",
        "x" * 5000,
    ],
)
def test_other_words_mean_nothing(text):
    assert meaning(text) is None


# ICAO Annex 10, Volume II, 5.2.1.3 (the radiotelephony spelling alphabet).
ICAO = (
    "alfa bravo charlie delta echo foxtrot golf hotel india juliett kilo lima mike november"
    " oscar papa quebec romeo sierra tango uniform victor whiskey x-ray yankee zulu"
)


def test_lots_are_spelled_with_the_radiotelephony_alphabet():
    for word in ICAO.split():
        assert meaning(f"lot number {word} one") == Command(Verb.LOT, f"{word[0].upper()}1")


def test_a_sentence_without_a_command_means_nothing():
    assert KNOWN.command(()) is None
    assert KNOWN.command((("size", "small"),)) is None
