"""The loud mouth, with a playback that plays for as long as the test lets it."""

import queue
import threading

import numpy as np
import pytest

from assistant.session.effect import Prompt, ToneName
from assistant.speaking.clip import Clip
from assistant.speaking.line import Line
from assistant.speaking.playback import MemoryPlayback, Outcome, PlaybackError
from assistant.speaking.tone import clip as tone_clip
from assistant.speaking.voice import PrintedVoice, VoiceError
from assistant.station.mouth import LoudMouth, PrintedMouth


class HeldPlaying:
    def __init__(self):
        self.done = threading.Event()
        self.cut = False

    def stop(self):
        self.cut = True
        self.done.set()

    def wait(self):
        assert self.done.wait(5)
        return Outcome(finished=not self.cut, seconds=0.0)


class HeldPlayback:
    """Plays each clip until it is stopped or let go."""

    def __init__(self):
        self.begun = queue.Queue()

    def start(self, clip):
        playing = HeldPlaying()
        self.begun.put((clip, playing))
        return playing


class SlowVoice:
    """A voice whose rendering waits for the test."""

    def __init__(self):
        self.asked = threading.Event()
        self.go = threading.Event()

    def render(self, words):
        self.asked.set()
        assert self.go.wait(5)
        return Clip(np.zeros(10, np.float32), 8000, words)


class DeadVoice:
    def render(self, words):
        raise VoiceError("the engine hangs", words)


class DeadPlayback:
    def start(self, _clip):
        raise PlaybackError("there is no sound card")


def line(words):
    return Line(Prompt("opened"), words, words)


@pytest.fixture
def ended():
    return queue.Queue()


@pytest.fixture
def mouth_with(ended):
    mouths = []

    def make(voice, playback):
        mouth = LoudMouth(voice, playback, tone_clip, ended.put)
        mouths.append(mouth)
        return mouth

    yield make
    for mouth in mouths:
        mouth.close()


def test_a_line_that_was_played_to_its_end_was_heard(mouth_with, ended):
    playback = MemoryPlayback()
    mouth = mouth_with(PrintedVoice(), playback)
    assert mouth.speak(line("good morning")) is False
    end = ended.get(timeout=5)
    assert (end.line.spoken, end.to_the_end, end.fault) == ("good morning", True, "")
    assert [clip.words for clip in playback.played] == ["good morning"]


def test_a_line_that_is_stopped_ends_at_once_and_was_not_heard(mouth_with, ended):
    playback = HeldPlayback()
    mouth = mouth_with(PrintedVoice(), playback)
    mouth.speak(line("a long caution"))
    playback.begun.get(timeout=5)
    mouth.stop()
    assert ended.get(timeout=0.2).to_the_end is False


def test_stopping_five_lines_in_a_row_stops_each_and_the_next_is_said(mouth_with, ended):
    playback = HeldPlayback()
    mouth = mouth_with(PrintedVoice(), playback)
    for _ in range(5):
        mouth.speak(line("a long prompt"))
        playback.begun.get(timeout=5)
        mouth.stop()
        assert ended.get(timeout=0.5).to_the_end is False
    mouth.speak(line("the next one"))
    _, playing = playback.begun.get(timeout=5)
    playing.done.set()
    assert ended.get(timeout=5).to_the_end is True


def test_a_line_that_is_stopped_while_it_is_rendered_is_never_played(mouth_with, ended):
    voice, playback = SlowVoice(), MemoryPlayback()
    mouth = mouth_with(voice, playback)
    mouth.speak(line("a caution"))
    assert voice.asked.wait(5)
    mouth.stop()
    voice.go.set()
    assert ended.get(timeout=5).to_the_end is False
    assert playback.played == []


def test_a_tone_sounds_before_the_line_after_it(mouth_with, ended):
    playback = MemoryPlayback()
    mouth = mouth_with(PrintedVoice(), playback)
    mouth.stop()  # with nothing to stop: the tone must still sound
    mouth.sound(ToneName.ATTENTION)
    mouth.speak(line("caution"))
    ended.get(timeout=5)
    assert [clip.words for clip in playback.played] == ["attention", "caution"]


@pytest.mark.parametrize(
    ("voice", "playback", "fault"),
    [
        (DeadVoice(), MemoryPlayback(), "the engine hangs"),
        (PrintedVoice(), DeadPlayback(), "there is no sound card"),
    ],
)
def test_a_line_that_cannot_be_sounded_ends_with_the_fault_unheard(
    mouth_with, ended, voice, playback, fault
):
    mouth = mouth_with(voice, playback)
    mouth.sound(ToneName.HEARD)
    mouth.speak(line("caution"))
    end = ended.get(timeout=5)
    assert (end.to_the_end, end.fault) == (False, fault)


def test_a_printed_line_is_over_at_once():
    mouth = PrintedMouth()
    mouth.sound(ToneName.HEARD)
    mouth.stop()
    assert mouth.speak(line("shown")) is True
    mouth.close()
