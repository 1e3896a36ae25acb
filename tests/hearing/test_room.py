import numpy as np
import pytest

from assistant.hearing.room import PAD_S, pcm

PAD = round(PAD_S * 16_000)


def samples(raw):
    return np.frombuffer(raw, "<i2").astype(np.float64) / 32767


def rms(sound):
    return float(np.sqrt(np.mean(np.square(sound))))


def test_digital_silence_becomes_quiet_noise():
    sound = samples(pcm(np.zeros(16_000, np.float32)))
    assert len(sound) == 16_000 + 2 * PAD
    assert 20 * np.log10(rms(sound)) == pytest.approx(-80, abs=1)


@pytest.mark.parametrize("peak", [0.9, 0.05])
def test_the_room_is_22_decibels_below_the_speech_whatever_its_level(peak):
    t = np.arange(32_000) / 16_000
    sound = samples(pcm((peak * np.sin(2 * np.pi * 300 * t)).astype(np.float32)))
    room = 20 * np.log10(rms(np.concatenate([sound[:PAD], sound[-PAD:]])))
    assert room - 20 * np.log10(peak / np.sqrt(2)) == pytest.approx(-22, abs=2)


def test_sound_over_full_scale_is_limited_and_does_not_wrap():
    sound = samples(pcm(np.full(1_000, 1.5, np.float32)))
    assert sound[PAD : PAD + 1_000].min() == 1.0


def test_the_same_sound_gives_the_same_bytes_and_none_gives_only_the_room():
    one = np.linspace(-0.5, 0.5, 5_000, dtype=np.float32)
    assert pcm(one) == pcm(one.copy())
    assert len(pcm(np.zeros(0, np.float32))) == 2 * 2 * PAD
