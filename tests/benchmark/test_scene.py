"""A mix has the ratio that its name says."""

import numpy as np
import pytest
import soundfile

from tests.benchmark import mixing
from tests.benchmark.filters import filtered
from tests.benchmark.level import NOMINAL_DB, RATE, active_db, mean_db, raised
from tests.benchmark.mixing import Condition, scene
from tests.benchmark.noises import NoiseMissingError, noise
from tests.benchmark.sets import Sets
from tests.benchmark.voices import Spoken, spoken

SPEECH = spoken(Spoken("lot number alfa three seven", "en+linda", 160, 52))


def draw():
    return np.random.default_rng(1)


@pytest.mark.parametrize("kind", ["water", "babble", "taps", "coughs"])
@pytest.mark.parametrize("snr_db", [20.0, 0.0])
def test_speech_lies_so_many_decibels_above_the_noise(kind, snr_db):
    """Measured on the mix: what is left when the speech is taken away is the noise."""
    mixed = scene(SPEECH, Condition(kind, snr_db), draw(), Sets())
    alone = scene(SPEECH, Condition(), draw(), Sets())
    assert np.abs(mixed.samples).max() < 1.0  # nothing clipped, so nothing was made softer
    rest = mixed.samples - alone.samples
    assert active_db(alone.samples) - mean_db(rest) == pytest.approx(snr_db, abs=0.1)
    assert active_db(alone.samples) == pytest.approx(NOMINAL_DB, abs=0.1)


def test_the_speech_stands_where_the_scene_says():
    mixed = scene(SPEECH, Condition(), draw(), Sets())
    assert not mixed.samples[: mixed.start - 100].any()
    assert np.abs(mixed.samples[mixed.end :]).max() < 0.01
    assert mixed.start >= mixing.LEAD_S * RATE
    assert len(mixed.samples) - mixed.end >= mixing.TAIL_S * RATE


def test_the_published_rule_compares_the_loudest_frames(tmp_path):
    """By the rule's own words, in another way: frame by frame in a loop."""
    soundfile.write(tmp_path / "kitchen.flac", 0.1 * draw().standard_normal(4 * RATE), RATE)
    sets = Sets(orders=tmp_path)
    mixed = scene(SPEECH, Condition("kitchen", 6.0, published=True), draw(), sets).samples
    assert len(mixed) == len(SPEECH)
    assert np.abs(mixed).max() == pytest.approx(0.5)
    # The speech's share in the mix, by least squares; the noise is what is left.
    under = noise("kitchen", len(SPEECH), draw(), sets)
    parts, *_ = np.linalg.lstsq(np.stack([SPEECH, under], axis=1), mixed, rcond=None)
    voice, rest = parts[0] * SPEECH, parts[1] * under

    def loudest(sound):
        return max(
            float((sound[at : at + 2048].astype(float) ** 2).sum())
            for at in range(0, len(sound), 2048)
        )

    assert 10 * np.log10(loudest(voice) / loudest(rest)) == pytest.approx(6.0, abs=0.01)


def test_a_mix_is_the_same_each_time():
    one, other = (scene(SPEECH, Condition("water", 5.0), draw(), Sets()) for _ in range(2))
    assert np.array_equal(one.samples, other.samples)


def test_a_recorded_noise_that_is_not_present_is_told():
    with pytest.raises(NoiseMissingError, match=r"kitchen\.flac"):
        noise("kitchen", RATE, draw(), Sets())


def gain_db(name, hertz):
    tone = np.sin(2 * np.pi * hertz * np.arange(RATE) / RATE).astype(np.float32)
    return mean_db(filtered(tone, name)[2000:-2000]) - mean_db(tone[2000:-2000])


def test_filters_lose_what_was_published():
    """Schumaker and Barnard, Inter-Noise 2021, abstract: masks less than 2 dB below 2 kHz
    and up to 5 dB above; a face shield more than 10 dB in the octaves of 4 and 8 kHz.
    """
    assert abs(gain_db("mask", 500)) < 2
    assert -5.1 <= gain_db("mask", 4000) <= -2
    assert gain_db("shield", 4000) < -10
    assert gain_db("shield", 7000) < -10
    assert abs(gain_db("shield", 500)) < 1


def test_a_mask_does_not_change_the_ratio():
    mixed = scene(SPEECH, Condition("water", 10.0, "mask"), draw(), Sets())
    voice = raised(filtered(SPEECH, "mask"), NOMINAL_DB)
    lead = round(mixing.LEAD_S * RATE)
    rest = mixed.samples.copy()
    rest[lead : lead + len(voice)] -= voice
    assert active_db(voice) - mean_db(rest) == pytest.approx(10.0, abs=0.1)
