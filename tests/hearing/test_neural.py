"""The English model on speech that espeak-ng makes at test time."""

import json
import sys
from pathlib import Path

import numpy as np
import pytest

from assistant.grammar import automaton, jsgf, orthography
from assistant.hearing import neural
from assistant.hearing.recognizer import ModelMissingError, Utterance
from assistant.hearing.speech_model import SpeechModel

ENGLISH = Path(__file__).parents[2] / "grammars" / "en"
PARTS = ["handle", "shaft", "insert", "tray", "cable"]

COMMANDS = (
    "next",
    "start soak",
    "one step back",
    "switch to the cable",
    "begin rinse timer",
    "report a problem corrosion",
    "value forty two degrees",
)
OTHER = ("did you see the game last night", "we are out of gloves again", "thank you very much")


@pytest.fixture(scope="module")
def english():
    grammar = jsgf.load(ENGLISH / "commands.jsgf", {"component": PARTS})
    words = orthography.read(ENGLISH / "words.yaml")
    return neural.NeuralRecognizer.load(automaton.build(grammar), words)


@pytest.fixture(scope="module")
def speech(speak):
    return {text: Utterance(speak(text, "en-us+m3", 150, 50)) for text in (*COMMANDS, *OTHER)}


def test_spoken_commands_are_heard_as_their_words(english, speech):
    heard = {text: english.hear(speech[text]) for text in COMMANDS}
    assert {text: hypothesis.text for text, hypothesis in heard.items()} == {t: t for t in COMMANDS}
    assert all(hypothesis.accepted for hypothesis in heard.values())
    value = dict(heard["value forty two degrees"].tags)["value"]
    assert value == "forty two"
    assert all(hypothesis.decode_ms > 0 for hypothesis in heard.values())


def test_the_runner_up_means_something_else_and_lies_behind(english, speak):
    text = "#JSGF V1.0;\ngrammar d;\npublic <d> = reading (fifteen | fifty) | next;"
    near = neural.NeuralRecognizer(
        automaton.build(jsgf.parse(text)), english.orthography, english.model
    )
    hypothesis = near.hear(Utterance(speak("reading fifteen", "en-us+m3", 150, 50)))
    assert {hypothesis.text, hypothesis.runner_up} == {"reading fifteen", "reading fifty"}
    assert hypothesis.runner_up_score < hypothesis.score


@pytest.mark.parametrize("text", OTHER)
def test_other_speech_is_rejected_with_a_reason(english, speech, text):
    hypothesis = english.hear(speech[text])
    assert not hypothesis.accepted
    assert hypothesis.reason


def test_the_grammar_decides_what_can_be_heard(speech, english):
    drinks = automaton.build(jsgf.parse("#JSGF V1.0;\ngrammar d;\npublic <d> = tea | coffee;"))
    other = neural.NeuralRecognizer(drinks, english.orthography, english.model)
    hypothesis = other.hear(speech["report a problem corrosion"])
    assert not hypothesis.accepted
    assert hypothesis.text in {"", "tea", "coffee"}


@pytest.mark.parametrize(
    "samples",
    [
        np.zeros(0),
        np.zeros(100),
        np.zeros(16_000),
        np.full(16_000, np.nan),
        np.full(16_000, 0.5),
        np.random.default_rng(1).normal(0, 0.1, 24_000),
        np.sin(np.arange(16_000) / 5),
    ],
    ids=["nothing", "click", "silence", "no number", "constant", "noise", "tone"],
)
def test_sound_without_speech_is_rejected_and_raises_nothing(english, samples):
    hypothesis = english.hear(Utterance(samples.astype(np.float32)))
    assert not hypothesis.accepted
    assert hypothesis.reason
    json.dumps(hypothesis.score, allow_nan=False)


def test_an_utterance_longer_than_the_model_can_hear_is_rejected_and_says_so(english):
    noise = np.random.default_rng(2).normal(0, 0.1, 9 * 16_000).astype(np.float32)
    hypothesis = english.hear(Utterance(noise))
    assert not hypothesis.accepted
    assert "at most 8 s" in hypothesis.reason


def test_a_word_that_the_model_cannot_write_is_named_before_anybody_speaks(english):
    grammar = jsgf.parse("#JSGF V1.0;\ngrammar d;\npublic <d> = next | \U0001f9fc;")
    with pytest.raises(neural.UnwritableWordError, match="\U0001f9fc"):
        neural.NeuralRecognizer(automaton.build(grammar), english.orthography, english.model)


def test_a_missing_model_file_is_one_sentence_with_the_remedy(tmp_path):
    with pytest.raises(ModelMissingError, match=r"encoder_model\.ort.*pip install"):
        SpeechModel.read(tmp_path)


def test_a_damaged_model_file_is_one_sentence_with_the_remedy(tmp_path):
    for name in ("encoder_model.ort", "decoder_model_merged.ort", "tokenizer.bin"):
        (tmp_path / name).write_bytes(b"not a model")
    with pytest.raises(ModelMissingError, match=r"encoder_model\.ort is damaged.*pip install"):
        SpeechModel.read(tmp_path)


def test_the_model_is_found_without_importing_its_wheel(english):
    assert len(english.model_sha256) == 64
    assert "moonshine_voice" not in sys.modules
