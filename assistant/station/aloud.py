"""Words said aloud by a voice, as a microphone would take them up."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import soxr

from assistant.hearing.frames import Audio
from assistant.hearing.recognizer import SAMPLE_RATE

if TYPE_CHECKING:
    from assistant.speaking.voice import Voice

_LEVEL = 0.6  # of the voice's own, which comes close to full scale 1.0
_QUIET_S = 1 / 3  # seconds of silence before and after


def aloud(voice: Voice, words: str) -> Audio:
    """The sound of a voice that says these words, with some silence around it.

    Raises:
        VoiceError: it cannot say them.
    """
    clip = voice.render(words)
    sound = soxr.resample(clip.samples, clip.rate, SAMPLE_RATE).astype(np.float32)
    quiet = np.zeros(round(_QUIET_S * SAMPLE_RATE), np.float32)
    return Audio(np.concatenate([quiet, _LEVEL * sound, quiet]))
