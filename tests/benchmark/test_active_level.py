"""The active speech level behaves as ITU-T P.56 says it must, and bounds are exact."""

import numpy as np
import pytest

from tests.benchmark.level import NOMINAL_DB, RATE, NoSpeechError, active_db, bounds, raised
from tests.benchmark.voices import Spoken, spoken


def tone(seconds, peak=0.5):
    return (peak * np.sin(2 * np.pi * 1000 * np.arange(int(seconds * RATE)) / RATE)).astype("f4")


def test_a_steady_tone_has_its_mean_power_as_active_level():
    """A sine of peak 0.5 has the power 0.125, -9.03 dB: arithmetic."""
    assert active_db(tone(20)) == pytest.approx(-9.03, abs=0.1)


def test_silence_around_speech_does_not_change_the_active_level():
    """What P.56 is for: the long-term level would fall by 6 dB here."""
    speech = spoken(Spoken("switch to the insert and start soak now please", "en-us+f1"))
    padded = np.pad(speech, (2 * len(speech), len(speech)))
    assert active_db(padded) == pytest.approx(active_db(speech), abs=0.01)


def test_active_level_follows_the_gain():
    speech = spoken(Spoken("begin rinse timer", "en+m4"))
    assert active_db(0.1 * speech) == pytest.approx(active_db(speech) - 20, abs=0.05)
    assert active_db(raised(speech, NOMINAL_DB)) == pytest.approx(NOMINAL_DB, abs=0.05)


def test_digital_silence_has_no_active_level():
    with pytest.raises(NoSpeechError):
        active_db(np.zeros(RATE, np.float32))


def test_bounds_are_exact_to_a_few_samples():
    """A tone's 5 ms window passes 30 dB below its level within the window's first samples."""
    sound = np.pad(tone(1), (4_000, 7_777))
    start, end = bounds(sound)
    assert start == pytest.approx(4_000, abs=80)
    assert end == pytest.approx(4_000 + RATE, abs=80)
