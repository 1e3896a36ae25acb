"""The four tones: heard, refused, attention before a caution, timer.

Four is the most that people tell apart (NUREG-0700; MIL-STD-1472E), and they differ
in shape as well as in pitch, for those who hear high tones badly: one rising glide,
two falling buzzes, three even pulses, five fast ones.  The tone before a caution
lasts at least 0.5 s (same sources).  Each has a word for the printed account,
because a sound is never the only sign.
"""

from __future__ import annotations

from functools import cache

import numpy as np

from assistant.session.effect import ToneName
from assistant.speaking.clip import Clip

RATE = 22_050  # Hz, as the voice's clips
PEAK = 0.5  # of full scale: about as loud as speech that peaks at 1
FADE_S = 0.01  # at both ends of each pulse, so that none clicks


# Pulses of each tone: (Hz at the start, Hz at the end, seconds, seconds of silence
# after it, share of the third harmonic).
_PULSES = {
    ToneName.HEARD: ((1047.0, 1568.0, 0.14, 0.0, 0.0),),
    ToneName.REFUSED: ((330.0, 262.0, 0.16, 0.07, 0.5), (262.0, 208.0, 0.22, 0.0, 0.5)),
    ToneName.ATTENTION: ((784.0, 784.0, 0.16, 0.08, 0.1),) * 2 + ((784.0, 784.0, 0.2, 0.0, 0.1),),
    ToneName.TIMER: ((2093.0, 2093.0, 0.07, 0.07, 0.0),) * 5,
}


@cache
def clip(tone: ToneName) -> Clip:
    """The tone's sound; its words are the word printed for it."""
    parts = [_pulse(*pulse) for pulse in _PULSES[tone]]
    return Clip(np.concatenate(parts).astype(np.float32), RATE, tone.value)


def _pulse(
    start: float, end: float, seconds: float, silence: float, harmonic: float
) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    count = round(seconds * RATE)
    phase = 2 * np.pi * np.cumsum(np.linspace(start, end, count)) / RATE
    wave = (np.sin(phase) + harmonic * np.sin(3 * phase)) / (1 + harmonic)
    ramp = np.minimum(1, np.arange(count) / (FADE_S * RATE))
    sound = PEAK * wave * ramp * ramp[::-1]
    return np.concatenate([sound, np.zeros(round(silence * RATE))])
