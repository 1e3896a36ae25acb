"""Generated speech is the same to the bit in every run, whatever was spoken before."""

import time

import numpy as np
import pytest

from tests.benchmark import voices
from tests.benchmark.voices import TALKERS, UNUSED, Spoken, spoken


@pytest.mark.parametrize("voice", [UNUSED[0], UNUSED[8], TALKERS[5]], ids=lambda voice: voice[0])
def test_speech_does_not_depend_on_what_was_spoken_before(voice):
    what = Spoken("switch to the insert", *voice)
    first = spoken(what)
    spoken(Spoken("something else in between", *UNUSED[3]))
    assert np.array_equal(spoken(what), first)


def test_speech_does_not_depend_on_when_the_process_began():
    """This voice breathes: noise, which the library seeds by the second."""
    what = Spoken("start soak", *UNUSED[2])
    first = spoken(what)
    voices._speaker.cache_clear()
    time.sleep(1.1)
    assert np.array_equal(spoken(what), first)


@pytest.mark.parametrize("voice", [*UNUSED, *TALKERS], ids=lambda voice: voice[0])
def test_every_voice_speaks(voice):
    sound = spoken(Spoken("start soak", *voice))
    assert 0.4 < len(sound) / 16_000 < 1.5
    assert np.abs(sound).max() > 0.05


def test_a_voice_that_is_not_there_is_told():
    with pytest.raises(LookupError, match="no-such-voice"):
        spoken(Spoken("next", "no-such-voice"))
    assert len(spoken(Spoken("next", *UNUSED[0]))) > 0
