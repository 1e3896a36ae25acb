"""Room tone: the quiet noise that models learned with, put under sound that lacks it.

Generated, gated and cut-off sound has digital silence around the words, and
models that learned in rooms mishear it.  Pink noise under 106 generated Korean
phrases raised the Vosk model from 41 right (none but dither) to 54 (24 dB below
the speech) and 63 (20 dB below); 22 dB is taken.  In a real room it drowns in what
is there already.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from assistant.hearing.recognizer import SAMPLE_RATE

if TYPE_CHECKING:
    import numpy.typing as npt

PAD_S: Final = 0.3
"""Seconds of room tone on both ends: models look ahead, and a file may end in mid-word."""

_BELOW_SPEECH: Final = 0.08  # RMS relative to the speech, -22 dB
_LEAST: Final = 1e-4  # RMS under digital silence, about 3 steps of 16 bits
_PINK_FROM: Final = 20  # spectral line below which the noise grows no further


def pcm(samples: npt.NDArray[np.float32]) -> bytes:
    """16-bit little-endian sound with room tone under and around it, the same each time.

    Args:
        samples: float32, shape (n,), 16 kHz mono; n may be 0.
    """
    pad = round(PAD_S * SAMPLE_RATE)
    sound = np.pad(np.asarray(samples, dtype=np.float64), pad)
    spectrum = np.fft.rfft(np.random.default_rng(0).standard_normal(len(sound)))
    spectrum /= np.sqrt(np.maximum(np.arange(len(spectrum)), _PINK_FROM))
    tone = np.fft.irfft(spectrum, len(sound))
    speech_rms = float(np.sqrt(np.mean(np.square(samples)))) if len(samples) else 0.0
    sound += tone / tone.std() * max(_BELOW_SPEECH * speech_rms, _LEAST)
    return np.rint(np.clip(sound, -1.0, 1.0) * 32767.0).astype("<i2").tobytes()
