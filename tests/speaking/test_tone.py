"""The tones are few, short, clean, and unlike each other in more than pitch."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from assistant.speaking.tone import ToneName, clip


def pulses(tone: ToneName) -> int:
    """How many separate stretches of sound there are."""
    sound = clip(tone).samples
    window = clip(tone).rate // 100
    loud = np.array(
        [
            np.abs(part).max(initial=0) > 0.01
            for part in np.split(sound, range(window, len(sound), window))
        ]
    )
    return int(loud[0]) + int(np.count_nonzero(np.diff(loud.astype(int)) == 1))


def pitch(sound: np.ndarray, rate: int) -> float:
    spectrum = np.abs(np.fft.rfft(sound * np.hanning(len(sound))))
    return float(spectrum.argmax() * rate / len(sound))


def test_there_are_no_more_than_four():
    # NUREG-0700 and MIL-STD-1472E: no more than four tones are told apart.
    assert len(ToneName) == 4


@pytest.mark.parametrize("tone", ToneName)
def test_a_tone_is_short_clean_and_not_clipped(tone):
    sound = clip(tone)
    assert sound.samples.dtype == np.float32
    assert 0.1 <= sound.seconds <= 0.8
    peak = np.abs(sound.samples).max()
    assert 0.3 < peak <= 0.5
    # No jump that would click: neither at its ends nor inside.
    assert abs(sound.samples[0]) < 0.01
    assert abs(sound.samples[-1]) < 0.01
    steepest = 2 * np.pi * 2100 / sound.rate * peak  # a sine of the highest pitch in use
    assert np.abs(np.diff(sound.samples)).max() < steepest * 1.02


def test_the_tone_before_a_caution_lasts_half_a_second():
    # NUREG-0700: an alerting sound of at least 0.5 s before a spoken warning.
    assert clip(ToneName.ATTENTION).seconds >= 0.5


def test_the_tones_differ_in_the_number_of_their_pulses():
    assert [pulses(tone) for tone in ToneName] == [1, 2, 3, 5]


def test_the_tones_differ_in_pitch_by_more_than_a_minor_third():
    pitches = sorted(pitch(clip(tone).samples, clip(tone).rate) for tone in ToneName)
    assert all(high / low > 1.2 for low, high in itertools.pairwise(pitches))


def test_heard_rises_and_refused_falls():
    for tone, rises in ((ToneName.HEARD, True), (ToneName.REFUSED, False)):
        sound = clip(tone)
        first, last = np.array_split(sound.samples, 2)
        assert (pitch(last, sound.rate) > pitch(first, sound.rate)) is rises


def test_every_tone_has_a_printed_word_of_its_own():
    words = [clip(tone).words for tone in ToneName]
    assert len(set(words)) == len(words)
    assert all(word.isalpha() for word in words)
