"""How loud it is: level, noise floor, clipping, and what to tell the technician."""

from __future__ import annotations

import math
from collections import deque
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from assistant.hearing.frames import FRAME_S

if TYPE_CHECKING:
    import numpy.typing as npt

SILENT_DBFS: Final = -120.0
"""dB; stands for silence, whose level has no logarithm."""

# A sine at full scale is 0 dBFS (AES17, IEC 61606; from memory): its RMS is 1/sqrt(2).
_SINE_DB: Final = 10 * math.log10(2)
_FULL_SCALE: Final = 0.999
_RUN: Final = 3
"""Samples in a row at full scale that make clipping; a clean peak touches it once or twice."""

_SILENCE: Final = (
    "The microphone sends digital silence: check that it is switched on, not muted, and that "
    "this program may use it."
)


@dataclass(frozen=True, slots=True)
class Level:
    """How loud a stretch of sound is.

    Attributes:
        rms_dbfs: dB; a full-scale sine is 0, silence ``SILENT_DBFS``.
        peak_dbfs: dB; full scale is 0.
        clipped: share of the samples that lie in a clipped run, 0 to 1.
    """

    rms_dbfs: float
    peak_dbfs: float
    clipped: float


@dataclass(frozen=True, slots=True)
class LevelLimits:
    """When a level is worth a word.

    Attributes:
        quiet_dbfs: dB; speech below it is too quiet.
        clipped: share of clipped samples, 0 to 1, above which words suffer.
        above_noise_db: dB; speech less than this above the noise floor drowns.
    """

    quiet_dbfs: float = -50.0
    clipped: float = 0.002
    above_noise_db: float = 6.0


def measure(samples: npt.NDArray[np.float32]) -> Level:
    """The level of a stretch of sound.

    Args:
        samples: float32, shape (n,), full scale 1.0.
    """
    if not len(samples):
        return Level(SILENT_DBFS, SILENT_DBFS, 0.0)
    power = float(np.mean(np.square(samples, dtype=np.float64)))
    peak = float(np.abs(samples).max())
    return Level(
        rms_dbfs=_decibel(power) + _SINE_DB if power else SILENT_DBFS,
        peak_dbfs=_decibel(peak * peak),
        clipped=_clipped(samples),
    )


class NoiseFloor:
    """The level of the room between the words: a low percentile of the last seconds.

    Args:
        memory_s: seconds looked back on; longer than any utterance, so that an
            utterance never fills it.
        percentile: 0 to 100; speech has gaps, so its quietest tenth is the room.
    """

    def __init__(self, memory_s: float = 12.0, percentile: float = 10.0) -> None:
        self._percentile = percentile
        self._levels: deque[float] = deque(maxlen=max(1, round(memory_s / FRAME_S)))

    def push(self, frame: npt.NDArray[np.float32]) -> None:
        """Take in one frame: float32, shape (512,)."""
        self._levels.append(measure(frame).rms_dbfs)

    @property
    def dbfs(self) -> float | None:
        """The noise floor, dB; None before the first frame."""
        return float(np.percentile(self._levels, self._percentile)) if self._levels else None


def findings(
    level: Level, noise_dbfs: float | None = None, limits: LevelLimits | None = None
) -> tuple[str, ...]:
    """What is wrong with the level of an utterance, a sentence each with its remedy."""
    limits = limits or LevelLimits()
    if level.peak_dbfs <= SILENT_DBFS:
        return (_SILENCE,)
    found: list[str] = []
    if level.rms_dbfs < limits.quiet_dbfs:
        found.append(
            f"Speech is too quiet ({level.rms_dbfs:.0f} dBFS, wanted {limits.quiet_dbfs:.0f} or "
            "more): move the microphone closer or raise its gain."
        )
    if level.clipped > limits.clipped:
        found.append(
            f"Speech is clipped ({100 * level.clipped:.1f} % of the samples at full scale): "
            "lower the gain of the microphone or move it away."
        )
    if noise_dbfs is not None and level.rms_dbfs - noise_dbfs < limits.above_noise_db:
        found.append(
            f"Speech stands only {level.rms_dbfs - noise_dbfs:.0f} dB above the noise, wanted "
            f"{limits.above_noise_db:.0f} or more: move the microphone closer to the mouth or "
            "turn the water down while speaking."
        )
    return tuple(found)


def _decibel(power: float) -> float:
    return max(10 * math.log10(power), SILENT_DBFS) if power > 0 else SILENT_DBFS


def _clipped(samples: npt.NDArray[np.float32]) -> float:
    """Share of the samples in runs of at least three at full scale, same sign."""
    share = 0
    for full in (samples >= _FULL_SCALE, samples <= -_FULL_SCALE):
        edges = np.flatnonzero(np.diff(np.concatenate([[False], full, [False]]).astype(np.int8)))
        runs = edges[1::2] - edges[::2]
        share += int(runs[runs >= _RUN].sum())
    return share / len(samples)
