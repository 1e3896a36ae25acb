"""The shipped words sound unlike each other, and every one of them means something."""

import random
from itertools import combinations

import pytest
from phonemes import phonemes
from rapidfuzz.distance import Levenshtein

from assistant.cli.vocabulary import shipped_vocabulary
from assistant.grammar.pack import COMPONENT_RULE, load
from assistant.session.command import Verb

KNOWN = shipped_vocabulary("en")
# Verbs whose phrases differ in a number or a lot are without end: one of each.
ENDLESS = {
    Verb.READING: "value one oh five",
    Verb.LOT: "lot number alfa three seven",
    Verb.EXPIRY: "expiry date two eight oh three three one",
    Verb.TAP_WATER: "tap water forty two degrees",
    Verb.CONTAINER: "container kilo nine",
}
# Share of phonemes to be changed to turn one phrase into the other.  The closest
# pair of the shipped vocabulary is "stand by" and "splash in the eyes", at 0.58; the
# near miss "text" of "next" would be at 0.2.
APART = 0.55
# Two phrases with the same ending ("... because damaged") must differ so much before it.
PHONEMES_APART = 4


def heads(text, other):
    """The two phrases without the words that both end in."""
    ours, theirs = text.split(), other.split()
    while len(ours) > 1 and len(theirs) > 1 and ours[-1] == theirs[-1]:
        ours, theirs = ours[:-1], theirs[:-1]
    return phonemes(" ".join(ours)), phonemes(" ".join(theirs))


def fixed_phrases():
    phrases = {}
    for text in _sentences():
        command = KNOWN.command(KNOWN.automaton.parse(text.split()).tags)
        if command.verb not in ENDLESS:
            phrases[text] = command
    for verb, text in ENDLESS.items():
        phrases[text] = KNOWN.command(KNOWN.automaton.parse(text.split()).tags)
        assert phrases[text].verb is verb
    return phrases


def _sentences():
    """Every sentence that is not a reading or a lot: their first words tell them."""
    starts = {text.split()[0] for text in ENDLESS.values()}
    draw = random.Random(7)  # noqa: S311 - a sample, no secret
    found = {}
    for _ in range(8000):
        text = KNOWN.automaton.sample(draw.randrange)
        if text.split()[0] not in starts:
            found[text] = None
    return list(found)


PHRASES = fixed_phrases()


def test_the_two_given_phrases_are_there():
    assert PHRASES["next"].verb is Verb.NEXT
    assert PHRASES["start soak"].verb is Verb.START_SOAK


def test_every_command_can_be_said():
    assert {command.verb for command in PHRASES.values()} == set(Verb) - {Verb.SCAN}


@pytest.mark.parametrize("verb", list(Verb), ids=str)
def test_phrases_of_different_commands_sound_unlike_each_other(verb):
    own = [text for text, command in PHRASES.items() if command.verb is verb]
    others = [text for text, command in PHRASES.items() if command.verb is not verb]
    for text in own:
        for other in others:
            pair = heads(text, other)
            apart = Levenshtein.normalized_distance(*pair)
            assert apart >= APART, f'"{text}" and "{other}" sound alike ({apart:.2f})'
            assert Levenshtein.distance(*pair) >= PHONEMES_APART, f'"{text}" and "{other}"'


def test_reasons_and_problems_sound_unlike_each_other():
    for verb in (Verb.SKIP, Verb.NOTE):
        values = {command.value for command in PHRASES.values() if command.verb is verb}
        for one, other in combinations(sorted(values), 2):
            apart = Levenshtein.normalized_distance(phonemes(one), phonemes(other))
            assert apart >= APART, f'"{one}" and "{other}" sound alike ({apart:.2f})'


def test_no_phrase_is_the_beginning_of_another_commands():
    for text, command in PHRASES.items():
        for other, meaning in PHRASES.items():
            if command.verb is not meaning.verb:
                assert not f"{other} ".startswith(f"{text} ")


def test_negation_is_no_part_of_any_phrase_that_completes_something():
    """ "Do not start soak" must not be one word away from a command's own words."""
    words = {word for text in PHRASES for word in text.split()}
    assert not words & {"no", "don't", "do", "never"}


def test_the_component_rule_is_filled_by_the_procedure():
    assert COMPONENT_RULE in load("en").commands.read_text()
