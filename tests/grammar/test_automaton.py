import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.grammar import jsgf
from assistant.grammar.automaton import EmptyGrammarError, Parse, build

HEAD = "#JSGF V1.0;\ngrammar demo;\n"


def automaton(body):
    return build(jsgf.parse(HEAD + body))


def test_tags_nest_and_come_in_the_order_in_which_they_end():
    words = automaton("public <a> = (reading (one two {value}) [percent {unit}]) {reading};")
    assert words.parse(["reading", "one", "two", "percent"]) == Parse(
        "reading one two percent",
        (("value", "two"), ("unit", "percent"), ("reading", "reading one two percent")),
    )


def test_an_optional_tagged_part_that_is_not_said_leaves_no_tag():
    words = automaton("public <a> = b [c {c}];")
    assert words.parse(["b"]) == Parse("b", ())


def test_the_first_reading_of_the_grammar_wins():
    words = automaton("public <a> = (b c) {first} | b {second} c;")
    parse = words.parse(["b", "c"])
    assert parse is not None
    assert parse.tags == (("first", "b c"),)


def test_can_continue_tells_a_finished_sentence_from_one_that_may_go_on():
    words = automaton("public <a> = next | reading one [two];")
    assert words.can_continue([])
    assert words.can_continue(["reading"])
    assert words.can_continue(["reading", "one"])
    assert not words.can_continue(["next"])
    assert not words.can_continue(["other"])


def test_each_sentence_is_enumerated_once_and_repetition_is_bounded():
    words = automaton("public <a> = b (c | c)* [d];")
    found = list(words.sentences(loops=3))
    assert len(found) == len(set(found))
    assert {"b", "b c", "b d", "b c c d"} <= set(found)
    assert len(found) < 20


def test_a_grammar_without_a_sentence_is_refused():
    with pytest.raises(EmptyGrammarError, match="no sentence"):
        automaton("public <a> = b <VOID>;")


def test_words_that_lead_nowhere_are_no_words_of_the_grammar():
    assert automaton("public <a> = b | lost <VOID>;").words == {"b"}


_TEXTS = st.recursive(
    st.sampled_from(["a", "b", "c {t}", "<NULL>"]),
    lambda inner: st.one_of(
        st.tuples(inner, inner).map(" ".join),
        st.tuples(inner, inner).map(lambda pair: f"({pair[0]} | {pair[1]}) {{u}}"),
        inner.map(lambda text: f"[{text}]"),
        inner.map(lambda text: f"({text})*"),
        inner.map(lambda text: f"({text})+"),
    ),
    max_leaves=8,
)


@given(_TEXTS, st.randoms(use_true_random=False))
def test_every_sampled_sentence_parses_to_its_own_words(text, random):
    words = automaton(f"public <a> = {text};")
    sentence = words.sample(random.randrange).split()
    parse = words.parse(sentence)
    assert parse is not None
    assert parse.text.split() == sentence
    assert all(under in parse.text for _, under in parse.tags)
