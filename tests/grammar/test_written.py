"""Written forms; the expected values of numbers are computed here, by another way."""

from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.grammar import automaton, jsgf, orthography
from assistant.grammar.written import WrittenForms

ENGLISH = Path(__file__).parents[2] / "grammars" / "en"
PARTS = ["handle", "shaft", "insert", "tray", "cable"]


@cache
def english():
    grammar = jsgf.load(ENGLISH / "commands.jsgf", {"component": PARTS})
    return WrittenForms(automaton.build(grammar), orthography.read(ENGLISH / "words.yaml"))


@pytest.fixture
def written():
    return english()


def accepts(written, text):
    state = written.start
    for character in text.lower():
        state = written.step(state, character)
        if state is None:
            return False
    return written.ends(state)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("Next.", "next"),
        (" NEXT!", "next"),
        ("Start-soak.", "start soak"),
        ("Value 105 degrees.", "value one hundred five degrees"),
        ("Value 98.6", "value ninety eight point six"),
        ("value ninety-eight point six", "value ninety eight point six"),
        ("Value 1 0 5", "value one oh five"),
        ("Value 400 ml", "value four hundred milliliters"),
        ("Value 400 ML.", "value four hundred milliliters"),
        ("Value 98.", "value ninety eight"),  # a full stop, not a point
        ("Value 12 %", "value twelve percent"),
        ("Value 45% ", "value forty five percent"),
        ("Lot number Alpha 37", "lot number alfa three seven"),
        ("Lot number, Alpha, 3, 7.", "lot number alfa three seven"),
        ("Lot number X-ray 9", "lot number x ray nine"),
    ],
)
def test_a_text_as_models_write_it_is_read_as_its_words(written, text, words):
    assert tuple(words.split()) in written.readings(text)
    assert accepts(written, text.strip())


@pytest.mark.parametrize(
    "text",
    [
        "",
        "nex",
        "next next",
        "startsoak",
        "value",
        "value 20 fourteen 3 9 1 1",
        "value 9876543",
        "lot 7",
        "value 4,00",
        "value 1,05",
    ],
)
def test_a_text_of_no_sentence_is_not_read(written, text):
    assert written.readings(text) == ()
    assert not accepts(written, text)


def test_every_number_that_may_be_said_has_one_value_in_every_reading(written):
    for value in range(1000):
        readings = written.readings(f"value {value}")
        assert readings
        assert {written.canonical(words) for words in readings} == {("value", str(value))}


def test_twenty_five_is_not_two_hundred_five(written):
    assert ("value", "twenty", "five") not in written.readings("value 205")
    assert written.canonical(("twenty", "five")) == ("25",)
    assert written.canonical(("two", "oh", "five")) == ("205",)
    assert written.canonical(("one", "hundred", "and", "five")) == ("105",)
    assert written.canonical(("four", "thousand", "twelve")) == ("4012",)


@settings(max_examples=150, deadline=None)
@given(st.randoms(use_true_random=False))
def test_every_way_to_spell_a_sentence_reads_back_to_the_same_words(random):
    written = english()
    words = tuple(written.automaton.sample(random.randrange).split())
    forms = [random.choice(written.orthography.written(word)) for word in words]
    text = "".join(form + random.choice([" ", "-", ", ", ". "]) for form in forms)
    text = text.rstrip(" -,.") + random.choice(["", ".", "?", "!"])
    assert accepts(written, text)
    assert words in written.readings(random.choice([text, text.upper(), text.title()]))


@settings(max_examples=150, deadline=None)
@given(st.randoms(use_true_random=False))
def test_every_sentence_written_with_digits_reads_back_to_the_same_words(random):
    written = english()
    words = tuple(written.automaton.sample(random.randrange).split())
    text = " ".join(written.canonical(words))
    assert accepts(written, text)
    assert words in written.readings(text)


@settings(max_examples=150, deadline=None)
@given(st.randoms(use_true_random=False))
def test_every_text_of_the_automaton_reads_back_to_sentences_of_one_meaning(random):
    written = english()
    state, text = written.start, ""
    for _ in range(60):
        signs = sorted(written.following(state))
        if written.ends(state) and (not signs or random.random() < 0.5):
            break
        text += random.choice(signs)
        state = written.step(state, text[-1])
    if not written.ends(state):
        return
    readings = written.readings(text)
    assert readings
    assert all(written.automaton.parse(words) is not None for words in readings)
    assert len({written.canonical(words) for words in readings}) == 1
