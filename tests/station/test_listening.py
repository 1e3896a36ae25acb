"""The microphone's thread, with a microphone that the test feeds."""

import queue
from types import SimpleNamespace

import numpy as np
import pytest

from assistant.hearing.frames import read
from assistant.hearing.microphone import Chunk, MicrophoneError, MicrophoneLostError
from assistant.hearing.recognizer import Hypothesis
from assistant.session.command import Said, Verb
from assistant.shipped import folder
from assistant.station import listening as listening_file
from assistant.station.clock import RealClock
from assistant.station.ear import Ear
from assistant.station.listening import Listening
from assistant.station.loop import Trouble


class FedMicrophone:
    """Gives chunks from a queue; an exception in it is raised."""

    def __init__(self):
        self.device = SimpleNamespace(name="test microphone")
        self.chunks = queue.Queue()
        self.closed = False

    def read(self):
        try:
            chunk = self.chunks.get(timeout=0.05)
        except queue.Empty:
            return Chunk(np.zeros(512, np.float32))
        if isinstance(chunk, Exception):
            raise chunk
        return chunk

    def close(self):
        self.closed = True


class Next:
    """Hears "next" in everything."""

    name = "next"
    model_sha256 = ""

    def __init__(self):
        self.lengths = []

    def hear(self, utterance):
        self.lengths.append(len(utterance.samples))
        return Hypothesis("next", (("next", "next"),), 0.0, accepted=True)


@pytest.fixture
def told():
    return queue.Queue()


@pytest.fixture
def speech():
    sound = read(folder("audio_fixtures") / "amber" / "next.wav").samples
    return np.concatenate([np.zeros(8000, np.float32), sound, np.zeros(16_000, np.float32)])


def feed(microphone, sound, lost_s=0.0):
    for start in range(0, len(sound), 512):
        microphone.chunks.put(Chunk(sound[start : start + 512], lost_s if start == 0 else 0.0))


def listen(kit, told, microphones, recognizer=None):
    opened = iter(microphones)

    def open_next():
        found = next(opened)
        if isinstance(found, Exception):
            raise found
        return found

    ear = Ear(kit.plan.interpreter, recognizer or Next())
    return Listening(open_next, ear, RealClock(), told.put)


def test_what_is_said_into_the_microphone_is_told_with_its_moment(kit, told, speech):
    microphone = FedMicrophone()
    listening = listen(kit, told, [microphone])
    begun = RealClock().now()
    feed(microphone, speech)
    said = told.get(timeout=10)
    listening.close()
    assert isinstance(said, Said)
    assert said.command.verb is Verb.NEXT
    assert abs((said.said_at - begun).total_seconds()) < 5
    assert microphone.closed


def test_a_lost_microphone_is_told_once_and_comes_back_by_itself(kit, told, monkeypatch):
    monkeypatch.setattr(listening_file, "RETRY_S", 0.05)
    first, second = FedMicrophone(), FedMicrophone()
    still_gone = MicrophoneError("no such microphone")
    listening = listen(kit, told, [first, still_gone, still_gone, second])
    first.chunks.put(MicrophoneLostError("the microphone is gone: check its plug"))
    assert told.get(timeout=5) == Trouble("the microphone is gone: check its plug")
    assert told.get(timeout=5) == Trouble('the microphone "test microphone" is back')
    assert first.closed
    listening.close()
    assert told.empty()


def test_speech_on_both_sides_of_a_gap_is_never_joined(kit, told, speech):
    microphone, recognizer = FedMicrophone(), Next()
    listening = listen(kit, told, [microphone], recognizer)
    half = len(speech) // 2
    feed(microphone, speech[: half - half % 512])
    feed(microphone, np.zeros(24_000, np.float32), lost_s=1.0)
    feed(microphone, speech)
    told.get(timeout=10)
    listening.close()
    assert len(recognizer.lengths) == 1


def test_a_microphone_that_is_not_there_is_told_before_anything_begins(kit, told):
    with pytest.raises(MicrophoneError, match="no such"):
        listen(kit, told, [MicrophoneError("no such microphone")])
