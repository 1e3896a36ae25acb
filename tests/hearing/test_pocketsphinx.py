import numpy as np
import pytest

from assistant.grammar import automaton, jsgf
from assistant.hearing.pocketsphinx import PocketsphinxRecognizer, model_folder
from assistant.hearing.recognizer import ModelMissingError, Utterance
from assistant.hearing.vocabulary import UnsayableWordsError

GRAMMAR = """#JSGF V1.0;
grammar small;
public <command> = next {next} | go back {go_back} | start soak {start_soak}
                 | say again {repeat} | (that is correct) {affirm} | negative {deny}
                 | where am i {where} | how long {how_long} | stand by {pause}
                 | (switch to the (handle | shaft | cable) {component}) {switch};
"""


def made(text, spellings=None):
    grammar = jsgf.parse(text)
    return PocketsphinxRecognizer(grammar, automaton.build(grammar), spellings)


@pytest.fixture(scope="module")
def recognizer():
    return made(GRAMMAR)


def test_generated_commands_are_heard(recognizer, speak):
    sentences = list(automaton.build(jsgf.parse(GRAMMAR)).sentences())
    assert len(sentences) == 12
    right = sum(recognizer.hear(Utterance(speak(text))).text == text for text in sentences)
    assert right >= 11


def test_tags_hold_the_words_under_them(recognizer, speak):
    heard = recognizer.hear(Utterance(speak("switch to the cable")))
    assert heard.tags == (("component", "cable"), ("switch", "switch to the cable"))
    assert heard.accepted
    assert heard.score <= 0.0


@pytest.mark.parametrize("seconds", [0.0, 0.01, 2.0])
def test_silence_is_rejected_and_never_an_error(recognizer, seconds, capfd):
    heard = recognizer.hear(Utterance(np.zeros(round(seconds * 16_000), np.float32)))
    assert not heard.accepted
    assert heard.reason
    assert capfd.readouterr() == ("", "")


def test_the_same_sound_gives_the_same_hypothesis_whatever_came_before(recognizer, speak):
    sound = Utterance(speak("that is correct"))
    first = recognizer.hear(sound)
    recognizer.hear(Utterance(speak("switch to the handle", "en-gb-x-rp", 190)))
    again = recognizer.hear(sound)
    assert (first.text, first.score) == (again.text, again.score)


def test_words_the_dictionary_lacks_are_all_named():
    with pytest.raises(UnsayableWordsError) as caught:
        made("#JSGF V1.0;\ngrammar g;\npublic <c> = zorbex next | juliett;\n")
    assert caught.value.words == ("juliett", "zorbex")


def test_a_missing_word_is_said_as_its_other_spelling(speak):
    text = "#JSGF V1.0;\ngrammar g;\npublic <c> = xray | juliett | kilo;\n"
    recognizer = made(text, {"xray": ("x ray",), "juliett": ("juliet",)})
    assert recognizer.hear(Utterance(speak("x ray"))).text == "xray"
    assert recognizer.hear(Utterance(speak("juliet"))).text == "juliett"


def test_a_model_that_is_not_there_is_named_with_the_remedy(monkeypatch, tmp_path):
    monkeypatch.setenv("POCKETSPHINX_PATH", str(tmp_path))
    with pytest.raises(ModelMissingError, match="unset POCKETSPHINX_PATH"):
        model_folder()


def test_the_model_is_identified_by_its_sha256(recognizer):
    assert len(recognizer.model_sha256) == 64
