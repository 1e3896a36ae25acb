"""The sound card port, on a stand-in for PortAudio."""

from __future__ import annotations

import sys
import types

import numpy as np
import pytest

from assistant.speaking.clip import Clip
from assistant.speaking.playback import PlaybackError, SpeakerPlayback
from assistant.speaking.sound_card import SoundCard


class PortAudioError(Exception):
    pass


class CallbackStop(Exception):  # noqa: N818 - PortAudio's own name
    pass


class OutputStream:
    """Plays everything the moment it is started, as sounddevice calls back."""

    opened: OutputStream | None = None

    def __init__(self, **settings):
        self.settings = settings
        self.heard = []
        self.closed = False
        OutputStream.opened = self

    def start(self):
        if self.settings["device"] == "stuck":
            raise PortAudioError("Unanticipated host error")
        try:
            while True:
                block = np.full((self.settings["blocksize"], 1), np.nan, np.float32)
                self.heard.append(block[:, 0])
                self.settings["callback"](block, len(block), None, None)
        except CallbackStop:
            self.settings["finished_callback"]()

    def abort(self):
        raise AssertionError("it was over")

    def close(self):
        self.closed = True


@pytest.fixture
def portaudio(monkeypatch):
    module = types.ModuleType("sounddevice")
    module.PortAudioError, module.CallbackStop = PortAudioError, CallbackStop
    module.OutputStream = OutputStream
    module.rates = {22050, 48000}

    def query_devices(name, kind):
        assert kind == "output"
        if name == "absent":
            raise ValueError("No output device matching 'absent'")
        if name == "headless":
            raise PortAudioError("Error querying device -1")
        return {"default_samplerate": 48000.0}

    def check_output_settings(*, samplerate, **_):
        if samplerate not in module.rates:
            raise PortAudioError("Invalid sample rate")

    module.query_devices, module.check_output_settings = query_devices, check_output_settings
    monkeypatch.setitem(sys.modules, "sounddevice", module)
    return module


CLIP = Clip(np.full(2205, 0.5, np.float32), 22050, "rinse")


def test_a_clip_reaches_the_card_at_its_own_rate(portaudio):
    del portaudio
    assert SpeakerPlayback(SoundCard(), lead_in_s=0).start(CLIP).wait().finished
    stream = OutputStream.opened
    assert (stream.settings["samplerate"], stream.settings["channels"]) == (22050, 1)
    heard = np.concatenate(stream.heard)
    assert np.array_equal(heard[:2205], CLIP.samples)
    assert not heard[2205:].any()
    assert stream.closed


def test_a_card_that_cannot_do_the_rate_is_opened_at_its_own(portaudio):
    portaudio.rates = {48000}
    assert SpeakerPlayback(SoundCard(), lead_in_s=0).start(CLIP).wait().finished
    stream = OutputStream.opened
    assert stream.settings["samplerate"] == 48000
    assert len(np.concatenate(stream.heard)) >= 4800


@pytest.mark.parametrize("name", ["absent", "headless"])
def test_a_missing_card_is_one_sentence_with_the_usual_causes(portaudio, name):
    del portaudio
    with pytest.raises(PlaybackError, match=r"no sound card.*/dev/snd.*group audio"):
        SoundCard(name)


def test_a_card_that_cannot_be_opened_is_told_and_given_back(portaudio):
    del portaudio
    with pytest.raises(PlaybackError, match="cannot be opened"):
        SpeakerPlayback(SoundCard("stuck")).start(CLIP)
    assert OutputStream.opened.closed


def test_missing_portaudio_is_one_sentence_with_the_package_to_install(tmp_path, monkeypatch):
    (tmp_path / "sounddevice.py").write_text("raise OSError('PortAudio library not found')\n")
    monkeypatch.syspath_prepend(tmp_path)
    monkeypatch.delitem(sys.modules, "sounddevice", raising=False)
    with pytest.raises(PlaybackError, match="libportaudio2"):
        SoundCard()
