import builtins
import sys
import time
from types import SimpleNamespace

import numpy as np
import pytest

from assistant.hearing.microphone import Microphone, MicrophoneError, MicrophoneLostError, library

OK = SimpleNamespace(input_overflow=False)
OVERFLOW = SimpleNamespace(input_overflow=True)


class PortAudioError(Exception):
    pass


class Sound:
    """Stands for the sounddevice module; ``send`` plays the part of its thread."""

    PortAudioError = PortAudioError

    def __init__(self, *names, rate_hz=16_000.0, default=0, busy=False):
        self._devices = [{"name": "Loudspeaker", "max_input_channels": 0}] + [
            {"name": name, "max_input_channels": 1} for name in names
        ]
        for device in self._devices:
            device["default_samplerate"] = rate_hz
        self.default = SimpleNamespace(device=(default, 0))
        self._busy = busy
        self.opened = None
        self.closed = False

    def query_devices(self):
        return self._devices

    def InputStream(self, **means):  # noqa: N802  (the library's own name)
        if self._busy:
            raise PortAudioError("Device unavailable [PaErrorCode -9985]")
        self.opened = means
        return self

    def start(self):
        pass

    def close(self):
        self.closed = True

    def send(self, samples, status=OK):
        buffer = np.array(samples, np.float32)[:, np.newaxis]
        self.opened["callback"](buffer, len(buffer), None, status)
        buffer[:] = np.nan  # the library uses its buffer again at once


class Clock:
    now_s = 0.0

    def __call__(self):
        return self.now_s


def test_sound_comes_out_as_it_went_in_though_the_buffer_is_used_again():
    sound = Sound("Headset", default=1)
    with Microphone(sounddevice=sound) as microphone:
        sound.send([0.1, 0.2, 0.3])
        chunk = microphone.read()
    assert chunk.samples == pytest.approx([0.1, 0.2, 0.3])
    assert chunk.lost_s == 0.0
    assert sound.closed


def test_the_device_keeps_its_own_rate_and_the_sound_becomes_16_kilohertz():
    sound = Sound("Headset", rate_hz=48_000.0, default=1)
    t = np.arange(48_000) / 48_000
    tone = np.sin(2 * np.pi * 440 * t)
    with Microphone(sounddevice=sound) as microphone:
        assert (sound.opened["samplerate"], sound.opened["channels"]) == (48_000.0, 1)
        parts = []
        for block in np.split(tone, 30):
            sound.send(block)
            parts.append(microphone.read().samples)
    heard = np.concatenate(parts)
    assert heard.dtype == np.float32
    assert 15_000 < len(heard) <= 16_000
    expected = np.sin(2 * np.pi * 440 * np.arange(len(heard)) / 16_000)
    assert np.abs(heard - expected)[100:-100].max() < 0.01


@pytest.mark.parametrize("name", ["headset", "HEADSET", "dset", "USB Headset Two"])
def test_a_part_of_the_name_in_any_case_is_enough(name):
    sound = Sound("Built-in", "USB Headset Two")
    assert Microphone(name, sound).device.name == "USB Headset Two"
    assert sound.opened["device"] == 2


def test_a_whole_name_wins_over_names_that_hold_it():
    assert Microphone("usb mic", Sound("USB Mic Two", "USB Mic")).device.name == "USB Mic"


@pytest.mark.parametrize(
    ("names", "wanted", "what"),
    [
        (("Built-in", "Headset"), "lapel", 'no microphone is called "lapel": name one of "Built-'),
        (("USB one", "USB two"), "usb", '"usb" may mean "USB one", "USB two"'),
        ((), None, "no microphone is connected"),
        (("Built-in",), None, 'no default microphone: name one of "Built-in"'),
        (("Built-in",), "loudspeaker", "no microphone is called"),
    ],
)
def test_a_device_that_cannot_be_meant_lists_what_there_is(names, wanted, what):
    with pytest.raises(MicrophoneError) as caught:
        Microphone(wanted, Sound(*names))
    assert what in str(caught.value)


def test_a_device_that_is_busy_is_named():
    with pytest.raises(MicrophoneError, match=r'"Headset" cannot be opened .* another program'):
        Microphone("headset", Sound("Headset", busy=True))


def test_missing_portaudio_is_one_sentence_with_the_remedy(monkeypatch):
    real = builtins.__import__

    def missing(name, *rest, **named):
        if name == "sounddevice":
            raise OSError("PortAudio library not found")
        return real(name, *rest, **named)

    monkeypatch.delitem(sys.modules, "sounddevice", raising=False)
    monkeypatch.setattr(builtins, "__import__", missing)
    with pytest.raises(MicrophoneError, match="apt install libportaudio2"):
        library()


def test_a_microphone_that_falls_silent_for_good_is_lost():
    with (
        Microphone("headset", Sound("Headset"), watchdog_s=0.05) as microphone,
        pytest.raises(MicrophoneLostError, match=r'"Headset" has sent nothing for 0\.05 s'),
    ):
        microphone.read()


def test_digital_silence_is_no_lost_microphone():
    sound = Sound("Headset")
    with Microphone("headset", sound, watchdog_s=0.05) as microphone:
        sound.send(np.zeros(512))
        assert len(microphone.read().samples) == 512


def test_old_sound_is_dropped_and_its_loss_is_told_once():
    clock, sound = Clock(), Sound("Headset")
    with Microphone("headset", sound, clock) as microphone:
        sound.send(np.full(16_000, 0.1))
        clock.now_s = 1.0
        sound.send(np.full(8_000, 0.2))
        clock.now_s = 3.5
        first = microphone.read()
        sound.send(np.full(8_000, 0.3))
        second = microphone.read()
    assert (first.samples[0], first.lost_s) == (pytest.approx(0.2), pytest.approx(1.0))
    assert (second.samples[0], second.lost_s) == (pytest.approx(0.3), 0.0)


def test_a_full_queue_pushes_the_oldest_out_and_never_waits():
    clock, sound = Clock(), Sound("Headset")
    with Microphone("headset", sound, clock) as microphone:
        begun = time.perf_counter()
        for number in range(1_000):
            sound.send(np.full(512, number / 1_000))
        assert time.perf_counter() - begun < 1.0
        chunk = microphone.read()
        kept = 1 + microphone._queue.qsize()
    assert chunk.lost_s == pytest.approx((1_000 - kept) * 512 / 16_000)
    assert chunk.samples[0] == pytest.approx((1_000 - kept) / 1_000)


def test_overflows_are_counted():
    sound = Sound("Headset")
    with Microphone("headset", sound) as microphone:
        sound.send(np.zeros(512), OVERFLOW)
        sound.send(np.zeros(512))
        sound.send(np.zeros(512), OVERFLOW)
        assert microphone.overflows == 2


def test_what_was_said_while_nobody_listened_is_forgotten_on_flush():
    sound = Sound("Headset")
    with Microphone("headset", sound) as microphone:
        sound.send(np.full(512, 0.1))
        sound.send(np.full(512, 0.2))
        microphone.flush()
        sound.send(np.full(512, 0.3))
        chunk = microphone.read()
    assert (chunk.samples[0], chunk.lost_s) == (pytest.approx(0.3), 0.0)
