"""Near misses are outside the grammar, and one sound or one word off."""

from rapidfuzz.distance import Levenshtein

from tests.benchmark.near import _neighbours, near_misses
from tests.benchmark.own import fixed_phrases
from tests.benchmark.world import own
from tests.grammar.phonemes import phonemes


def test_no_near_miss_is_in_the_grammar_and_none_sounds_like_a_command():
    commands = {phonemes(text) for text in fixed_phrases()}
    said = list(near_misses(1))
    assert len(said) > 100
    for case in said:
        assert own().automaton.parse(case.said.split()) is None, case.said
        assert phonemes(case.said) not in commands, case.said
        assert not case.wanted


def test_neighbours_of_a_word_are_one_sound_off():
    """The pronouncing dictionary has T EH K S T and N EH S T beside N EH K S T."""
    found = _neighbours("next")
    assert {"text", "nest"} <= set(found)
    assert "next" not in found
    words = [word for word in found if word.isalpha()]
    apart = [Levenshtein.distance(phonemes("next"), phonemes(word)) for word in words]
    assert sorted(apart)[len(apart) // 2] <= 2  # another dictionary may say a word otherwise


def test_negations_are_among_them():
    assert {"do not", "don't", "no"} & {
        " ".join(case.said.split()[:-1]) for case in near_misses(3) if case.group == "negation"
    }
