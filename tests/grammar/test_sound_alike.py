"""The shipped words sound unlike each other, and every one of them means something."""

import random
from itertools import combinations

import pytest
from phonemes import phonemes
from rapidfuzz.distance import Levenshtein

from assistant.cli.vocabulary import shipped_vocabulary
from assistant.grammar.pack import COMPONENT_RULE, load
from assistant.procedure.sheet import read
from assistant.session.command import Verb
from assistant.station.opening import shipped

# A session has the names of one procedure: "rack" and "tray" never compete.
SESSIONS = {path.stem: shipped_vocabulary("en", path.stem) for path in shipped()}
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


def fixed_phrases(known):
    phrases = {}
    for text in _sentences(known):
        command = known.command(known.automaton.parse(text.split()).tags)
        if command.verb not in ENDLESS:
            phrases[text] = command
    for verb, text in ENDLESS.items():
        phrases[text] = known.command(known.automaton.parse(text.split()).tags)
        assert phrases[text].verb is verb
    return phrases


def _sentences(known):
    """Every sentence that is not a reading or a lot: their first words tell them."""
    starts = {text.split()[0] for text in ENDLESS.values()}
    draw = random.Random(7)  # noqa: S311 - a sample, no secret
    found = {}
    for _ in range(8000):
        text = known.automaton.sample(draw.randrange)
        if text.split()[0] not in starts:
            found[text] = None
    return list(found)


SAID = {stem: fixed_phrases(known) for stem, known in SESSIONS.items()}
each_session = pytest.mark.parametrize("phrases", SAID.values(), ids=SAID)


@each_session
def test_the_two_given_phrases_are_there(phrases):
    assert phrases["next"].verb is Verb.NEXT
    assert phrases["start soak"].verb is Verb.START_SOAK


def test_every_command_can_be_said():
    said = {command.verb for phrases in SAID.values() for command in phrases.values()}
    assert said == set(Verb) - {Verb.SCAN}


@each_session
@pytest.mark.parametrize("verb", list(Verb), ids=str)
def test_phrases_of_different_commands_sound_unlike_each_other(verb, phrases):
    own = [text for text, command in phrases.items() if command.verb is verb]
    others = [text for text, command in phrases.items() if command.verb is not verb]
    for text in own:
        for other in others:
            pair = heads(text, other)
            share = Levenshtein.normalized_distance(*pair)
            assert share >= APART, f'"{text}" and "{other}" sound alike ({share:.2f})'
            assert Levenshtein.distance(*pair) >= PHONEMES_APART, f'"{text}" and "{other}"'


@each_session
def test_reasons_and_problems_sound_unlike_each_other(phrases):
    for verb in (Verb.SKIP, Verb.NOTE):
        values = {command.value for command in phrases.values() if command.verb is verb}
        for one, other in combinations(sorted(values), 2):
            share = Levenshtein.normalized_distance(phonemes(one), phonemes(other))
            assert share >= APART, f'"{one}" and "{other}" sound alike ({share:.2f})'


@each_session
def test_no_phrase_is_the_beginning_of_another_commands(phrases):
    for text, command in phrases.items():
        for other, meaning in phrases.items():
            if command.verb is not meaning.verb:
                assert not f"{other} ".startswith(f"{text} ")


@each_session
def test_negation_is_no_part_of_any_phrase_that_completes_something(phrases):
    """ "Do not start soak" must not be one word away from a command's own words."""
    words = {word for text in phrases for word in text.split()}
    assert not words & {"no", "don't", "do", "never"}


def apart(ours, theirs):
    """The least share of phonemes by which a name of one group differs from one of the other."""
    return min(
        Levenshtein.normalized_distance(phonemes(one), phonemes(other))
        for one in ours
        for other in theirs
    )


@pytest.mark.parametrize("path", shipped(), ids=lambda path: path.stem)
def test_tracks_and_adapters_of_one_procedure_sound_unlike_each_other(path):
    procedure = read(path)
    groups = [{component.name, *component.also} for component in procedure.components]
    groups += [{adapter} for part in procedure.parts for adapter in part.adapters]
    for ours, theirs in combinations(groups, 2):
        assert apart(ours, theirs) >= APART, (ours, theirs)


def test_the_shipped_devices_sound_unlike_each_other():
    procedures = [read(path) for path in shipped()]
    for one, other in combinations(procedures, 2):
        ours, theirs = {one.title, *one.also}, {other.title, *other.also}
        assert apart(ours, theirs) >= APART, (ours, theirs)


def test_the_component_rule_is_filled_by_the_procedure():
    assert COMPONENT_RULE in load("en").commands.read_text()
