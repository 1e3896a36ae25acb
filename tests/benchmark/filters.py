"""What a mask and a face shield do to the voice: linear filters without delay.

Octave bands after N. N. Schumaker and A. R. Barnard, "Experimental determination of the
acoustical effects of face masks on speech effort", Inter-Noise 2021 (abstract): masks
lose less than 2 dB below 2 kHz and up to 5 dB above; a face shield loses more than
10 dB in the octaves of 4 and 8 kHz.  Taken here: for the mask nothing up to 1 kHz, 2 dB
at 2 kHz, 5 dB from 4 kHz on; for the shield 12 dB from 4 kHz on, and 4 dB at 2 kHz,
which is our own guess.  With both, the losses add up.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from tests.benchmark.level import RATE

if TYPE_CHECKING:
    from collections.abc import Mapping

    import numpy.typing as npt

# Gains in dB by frequency in Hz; straight lines over the logarithm of frequency between.
FILTERS: Mapping[str, Mapping[float, float]] = {
    "": {},
    "mask": {1000.0: 0.0, 2000.0: -2.0, 4000.0: -5.0},
    "shield": {1000.0: 0.0, 2000.0: -4.0, 4000.0: -12.0},
    "mask+shield": {1000.0: 0.0, 2000.0: -6.0, 4000.0: -17.0},
}


def filtered(samples: npt.NDArray[np.float32], name: str) -> npt.NDArray[np.float32]:
    """The voice behind a mask or a shield.

    Raises:
        KeyError: there is no such filter.
    """
    gains = FILTERS[name]
    if not gains:
        return samples
    size = 1 << (len(samples) + RATE // 10).bit_length()
    hertz = np.maximum(np.fft.rfftfreq(size, 1 / RATE), 1.0)
    gain_db = np.interp(np.log(hertz), np.log(list(gains)), list(gains.values()))
    spectrum = np.fft.rfft(samples, size) * 10 ** (gain_db / 20)
    return np.fft.irfft(spectrum, size)[: len(samples)].astype(np.float32)
