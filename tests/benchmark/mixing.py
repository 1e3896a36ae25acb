"""Speech and noise together, at a stated ratio; and where in the mix the speech is.

Two definitions of the ratio are used, and each figure says which:

- *active*: active speech level (``level.active_db``, behind any mask) less the mean
  power of the noise over the whole stretch that is heard, lead and tail included;
- *published*: of the table that recorded drink orders are compared with: the loudest
  2,048-sample frame's energy of the speech over that of the noise, frames side by side
  from the first sample on; the sum is divided by twice its peak.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from tests.benchmark.filters import filtered
from tests.benchmark.level import NOMINAL_DB, RATE, bounds, raised
from tests.benchmark.noises import noise

if TYPE_CHECKING:
    import numpy.typing as npt

    from tests.benchmark.sets import Sets

LEAD_S, TAIL_S = 1.0, 1.6  # of noise before and after the speech, seconds
_FRAME = 2048


@dataclass(frozen=True, slots=True)
class Condition:
    """How speech comes to the microphone.

    Attributes:
        noise: its kind; "" for none (digital silence around the speech).
        snr_db: dB; None without noise.
        filter: "", "mask" or "shield".
        published: the ratio is the published one, and there is no lead and no tail.
    """

    noise: str = ""
    snr_db: float | None = None
    filter: str = ""
    published: bool = False

    def __str__(self) -> str:
        """A short name."""
        parts = [self.filter] if self.filter else []
        parts.append("clean" if self.snr_db is None else f"{self.noise} {self.snr_db:g} dB")
        return " ".join(parts)


@dataclass(frozen=True, slots=True)
class Scene:
    """Sound as it is heard, and where in it somebody speaks.

    Attributes:
        samples: float32, 16 kHz.
        start: first sample of the speech.
        end: the sample behind its last.
    """

    samples: npt.NDArray[np.float32]
    start: int
    end: int


def scene(
    speech: npt.NDArray[np.float32],
    condition: Condition,
    draw: np.random.Generator,
    sets: Sets,
) -> Scene:
    """Speech under a condition."""
    if condition.published:
        return _published(speech, condition, draw, sets)
    voice = raised(filtered(speech, condition.filter), NOMINAL_DB)
    start, end = bounds(voice)
    lead, tail = round(LEAD_S * RATE), round(TAIL_S * RATE)
    sound = np.pad(voice.astype(np.float64), (lead, tail))
    if condition.snr_db is not None:
        strength = 10 ** ((NOMINAL_DB - condition.snr_db) / 20)
        sound += strength * noise(condition.noise, len(sound), draw, sets)
    return Scene(_within(sound), start + lead, end + lead)


def noise_only(
    kind: str, seconds: float, draw: np.random.Generator, sets: Sets
) -> npt.NDArray[np.float32]:
    """A noise alone, as loud as speech."""
    sound = noise(kind, round(seconds * RATE), draw, sets)
    return _within(sound * 10 ** (NOMINAL_DB / 20))


def _published(
    speech: npt.NDArray[np.float32],
    condition: Condition,
    draw: np.random.Generator,
    sets: Sets,
) -> Scene:
    sound = speech.astype(np.float64)
    if condition.snr_db is not None:
        under = noise(condition.noise, len(sound), draw, sets)
        ratio = 10 ** (condition.snr_db / 10)
        sound = sound + under * np.sqrt(_loudest(sound) / _loudest(under) / ratio)
        sound = sound / (2 * np.abs(sound).max())
    start, end = bounds(speech)
    return Scene(sound.astype(np.float32), start, end)


def _loudest(sound: npt.NDArray[np.float64]) -> float:
    """Energy of the loudest frame."""
    padded = np.pad(sound, (0, -len(sound) % _FRAME))
    return float(np.square(padded.reshape(-1, _FRAME)).sum(axis=1).max())


def _within(sound: npt.NDArray[np.float64]) -> npt.NDArray[np.float32]:
    """The sound, made softer where it would clip."""
    peak = float(np.abs(sound).max())
    return (sound / max(peak, 1.0)).astype(np.float32)
