"""The active speech level: how loud the speech is while somebody speaks.

After ITU-T Recommendation P.56 (12/2011), method B, from memory: the rectified signal
goes through two first-order smoothers of 30 ms; for thresholds that lie a factor of
two apart the time above the threshold is counted, each stretch prolonged by a
hangover of 0.2 s; the active level is the signal's energy over that time, at the
threshold (interpolated, in dB) that lies 15.9 dB below the level which it gives.
Three things differ: the smoothers are applied by a convolution that is cut off after
20 time constants; thresholds go down to 2^-20 of full scale; and half a second of
silence is put behind the sound, so that the last hangover always counts and the level
of a single word does not depend on how much silence its clip has.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    import numpy.typing as npt

RATE = 16_000  # Hz
NOMINAL_DB = -26.0  # dB re full scale: the usual level of test speech (ITU-T P.830, from memory)
_CONSTANT_S, _HANGOVER_S, _MARGIN_DB = 0.03, 0.2, 15.9
_THRESHOLDS = 2.0 ** np.arange(-20, 0)
_WINDOW_S = 0.005  # in which the beginning and the end of speech are looked for
_AUDIBLE_DB = 30.0  # below the active level speech counts as over


class NoSpeechError(ValueError):
    """The sound has no active speech, so it has no active level."""


def active_db(samples: npt.NDArray[np.float32]) -> float:
    """The active speech level, dB re full scale 1.0.

    Raises:
        NoSpeechError: digital silence.
    """
    sound = np.pad(np.asarray(samples, np.float64), (0, RATE // 2))
    energy = float(np.square(sound).sum())
    if energy <= 0.0:
        raise NoSpeechError("the sound is silent")
    envelope = _smoothed(np.abs(sound))
    found = []
    for threshold in _THRESHOLDS:
        active = _active(envelope >= threshold)
        if active:
            level_db = 10 * math.log10(energy / active)
            found.append((level_db, level_db - 20 * math.log10(threshold)))
    # The margin falls from threshold to threshold; where it passes 15.9 dB is the level.
    for (low_db, low_margin), (high_db, high_margin) in pairwise(found):
        if low_margin >= _MARGIN_DB >= high_margin:
            share = (low_margin - _MARGIN_DB) / (low_margin - high_margin)
            return low_db + share * (high_db - low_db)
    return found[-1][0]


def mean_db(samples: npt.NDArray[np.float32]) -> float:
    """The mean power, dB re full scale 1.0; -200 for silence."""
    power = float(np.mean(np.square(samples, dtype=np.float64))) if len(samples) else 0.0
    return 10 * math.log10(max(power, 1e-20))


def raised(samples: npt.NDArray[np.float32], to_db: float) -> npt.NDArray[np.float32]:
    """The sound with this active speech level."""
    gain = 10 ** ((to_db - active_db(samples)) / 20)
    return (samples * gain).astype(np.float32)


def bounds(samples: npt.NDArray[np.float32]) -> tuple[int, int]:
    """First sample of speech, and the one behind its last.

    Speech is where the mean power of 5 ms, moved sample by sample, lies at most 30 dB
    below the active level.
    """
    width = round(_WINDOW_S * RATE)
    total = np.concatenate([[0.0], np.cumsum(np.square(samples, dtype=np.float64))])
    power = (total[width:] - total[:-width]) / width
    least = 10 ** ((active_db(samples) - _AUDIBLE_DB) / 10)
    loud = np.flatnonzero(power >= least)
    return int(loud[0]), int(loud[-1]) + width


def _smoothed(rectified: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    decay = math.exp(-1 / (RATE * _CONSTANT_S))
    steps = np.arange(round(20 * _CONSTANT_S * RATE))
    response = (1 - decay) ** 2 * (steps + 1) * decay**steps
    size = 1 << (len(rectified) + len(steps)).bit_length()
    product = np.fft.rfft(rectified, size) * np.fft.rfft(response, size)
    smooth: npt.NDArray[np.float64] = np.fft.irfft(product, size)[: len(rectified)]
    return smooth


def _active(above: npt.NDArray[np.bool_]) -> int:
    """Samples above the threshold or less than the hangover behind one that is."""
    places = np.arange(len(above))
    last = np.maximum.accumulate(np.where(above, places, -len(above) * 2))
    return int((places - last <= round(_HANGOVER_S * RATE)).sum())
