import numpy as np
import pytest

from assistant.hearing.level import SILENT_DBFS, Level, NoiseFloor, findings, measure


def tone(peak, hz=1_000, seconds=1.0):
    t = np.arange(round(16_000 * seconds)) / 16_000
    return (peak * np.sin(2 * np.pi * hz * t)).astype(np.float32)


def test_a_full_scale_sine_is_zero_decibels():
    # AES17 / IEC 61606 define 0 dB FS so (from memory).
    assert measure(tone(1.0)).rms_dbfs == pytest.approx(0.0, abs=0.01)


def test_half_the_amplitude_is_six_decibels_less():
    level = measure(tone(0.5))
    assert level.rms_dbfs == pytest.approx(-6.02, abs=0.01)
    assert level.peak_dbfs == pytest.approx(-6.02, abs=0.01)


def test_silence_and_nothing_have_a_level():
    assert measure(np.zeros(512, np.float32)) == Level(SILENT_DBFS, SILENT_DBFS, 0.0)
    assert measure(np.zeros(0, np.float32)) == Level(SILENT_DBFS, SILENT_DBFS, 0.0)


def test_clipping_is_counted_in_runs_and_a_lone_peak_is_none():
    # A period has 16 samples; at ten times full scale only the two zero crossings fit.
    assert measure(np.clip(tone(10.0), -1, 1)).clipped == pytest.approx(14 / 16)
    lone = np.zeros(1_000, np.float32)
    lone[[10, 11, 500]] = 1.0
    lone[502:505] = -1.0
    assert measure(lone).clipped == pytest.approx(0.003)


def test_the_noise_floor_is_the_room_and_not_the_words():
    floor = NoiseFloor()
    assert floor.dbfs is None
    rng = np.random.default_rng(0)
    for number in range(375):
        loud = number % 3 == 0
        frame = rng.standard_normal(512) * (0.1 if loud else 0.001)
        floor.push(frame.astype(np.float32))
    assert floor.dbfs == pytest.approx(-57, abs=1)


def test_the_noise_floor_follows_the_tap_within_its_memory():
    floor = NoiseFloor(memory_s=2.0)
    rng = np.random.default_rng(0)
    for gain in (0.001, 0.1):
        for _ in range(63):
            floor.push((rng.standard_normal(512) * gain).astype(np.float32))
    assert floor.dbfs == pytest.approx(-17, abs=1)


def test_good_speech_has_no_findings():
    assert findings(measure(tone(0.2)), noise_dbfs=-60.0) == ()


@pytest.mark.parametrize(
    ("sound", "noise_dbfs", "said"),
    [
        (np.zeros(16_000, np.float32), None, "digital silence"),
        (tone(0.001), None, "too quiet (-60 dBFS"),
        (np.clip(tone(3.0), -1, 1), None, "clipped"),
        (tone(0.1), -22.0, "only 2 dB above the noise"),
    ],
)
def test_each_fault_is_told_in_one_sentence_with_its_remedy(sound, noise_dbfs, said):
    (sentence,) = findings(measure(sound), noise_dbfs)
    assert said in sentence
    assert ": " in sentence
    assert sentence.endswith(".")
