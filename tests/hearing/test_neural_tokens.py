import pytest

from assistant.grammar import automaton, jsgf
from assistant.grammar.orthography import Orthography
from assistant.grammar.written import WrittenForms
from assistant.hearing import tokens


def test_pieces_are_read_by_their_length_and_marks_write_nothing():
    head = b"\x05<unk>\x03<s>\x04</s>" + b"".join(bytes([1, n]) for n in range(256))
    long = b"x" * 200
    pieces = ["\u2581next".encode(), b"er", long, b"<<ST_1>>"]
    prefixed = b"".join(
        (bytes([len(p)]) if len(p) < 128 else bytes([len(p) % 128 + 128, len(p) // 128])) + p
        for p in pieces
    )
    assert tokens.read(head + prefixed)[259:] == (" next", "er", "x" * 200, "")
    assert set(tokens.read(head)) == {""}


def test_a_cut_off_token_file_is_refused():
    with pytest.raises(tokens.TokenFileError, match="cut off"):
        tokens.read(b"\x05<un")


def test_only_tokens_that_stay_in_the_grammar_may_follow():
    texts = ("", "", "", " Next", " nex", "t", " start", " ", "soak", "T", " nest", ".")
    words = automaton.build(jsgf.parse("#JSGF V1.0;\ngrammar d;\npublic <d> = next | start soak;"))
    grammar = tokens.TokenGrammar(texts, WrittenForms(words, Orthography()))

    def following(state):
        after = grammar.after(state)
        return {
            texts[token]: after_state
            for token, after_state in zip(after.ids, after.states, strict=True)
        }

    first = following(grammar.written.start)
    assert set(first) == {" Next", " nex", " start", " "}
    assert set(following(first[" nex"])) == {"t", "T"}
    assert set(following(first[" Next"])) == {"."}
    assert grammar.after(first[" Next"]).ends
    assert not grammar.after(first[" start"]).ends
    assert grammar.text([4, 5, 11]) == "next."


def test_a_digit_is_as_long_to_say_as_a_word():
    assert tokens.spoken_letters(" 20 oz.") == 10
