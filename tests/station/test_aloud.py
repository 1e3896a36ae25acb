"""Words said aloud by a voice, and what an ear with a speaker makes of a script."""

import numpy as np
import pytest
from kit import START

from assistant.hearing.recognizer import SAMPLE_RATE, Hypothesis
from assistant.session.command import Command, Source, Verb
from assistant.speaking.clip import Clip
from assistant.speaking.voice import EspeakVoice
from assistant.station.aloud import aloud
from assistant.station.ear import Ear
from assistant.station.script import Say, ScriptError


class Tone:
    """A voice that says everything as one second of a tone."""

    def render(self, words):
        seconds = np.arange(22_050) / 22_050
        return Clip(np.sin(2 * np.pi * 440 * seconds).astype(np.float32), 22_050, words)


class HearsNext:
    """A recognizer that hears "next", whatever is said."""

    name, model_sha256 = "deaf", ""

    def hear(self, _utterance):
        return Hypothesis("next", (("next", "next"),), 0.0, accepted=True)


def test_a_voice_is_brought_to_the_recognizers_rate_with_silence_around_it():
    audio = aloud(Tone(), "next")
    quiet = round(SAMPLE_RATE / 3)
    assert len(audio.samples) == 2 * quiet + SAMPLE_RATE
    assert not audio.samples[:quiet].any()
    assert not audio.samples[-quiet:].any()
    spectrum = np.abs(np.fft.rfft(audio.samples[quiet:-quiet]))
    assert spectrum.argmax() == 440  # one second: a bin is 1 Hz


def test_of_a_spoken_line_only_what_is_heard_acts(kit):
    with EspeakVoice("en-us") as voice:
        ear = Ear(kit.plan.interpreter, HearsNext(), voice)
        ((_, said),) = ear.follow(Say("start soak"), START)
    assert (said.command, said.source) == (Command(Verb.NEXT), Source.VOICE)


def test_a_line_cannot_be_spoken_to_a_session_without_a_recognizer(kit):
    with EspeakVoice("en-us") as voice, pytest.raises(ScriptError, match="no recognizer"):
        list(Ear(kit.plan.interpreter, None, voice).follow(Say("next"), START))
