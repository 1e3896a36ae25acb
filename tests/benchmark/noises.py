"""Noises of unit mean power: water, babble, taps, coughs, and the recorded kitchen."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

import numpy as np

from tests.benchmark.level import RATE
from tests.benchmark.voices import TALKERS, Spoken, spoken

if TYPE_CHECKING:
    from pathlib import Path

    import numpy.typing as npt

    from tests.benchmark.sets import Sets

_BABBLE = (
    "I told them the meeting was on the third floor but nobody came until noon",
    "the lift is out of order again so we carried all of it up the stairs",
    "she has two boys and the younger one plays football every weekend",
    "did anyone see my green folder, I left it beside the window yesterday",
    "we could take the early train and have breakfast when we get there",
    "my neighbour painted his fence and now the dog is blue as well",
    "it rained so hard that the whole garden was under water this morning",
    "he said he would call back but I have been waiting since half past nine",
)


class NoiseMissingError(Exception):
    """A noise needs a recording that is not present."""


def noise(
    kind: str, samples: int, draw: np.random.Generator, sets: Sets
) -> npt.NDArray[np.float64]:
    """A stretch of a noise, mean power 1.

    Args:
        kind: "water", "babble", "kitchen", "taps" or "coughs".
        samples: how many.
        draw: where it is cut and how it falls.
        sets: where recordings lie.

    Raises:
        NoiseMissingError: it is a recording that is not present.
        KeyError: there is no such noise.
    """
    if kind == "kitchen":
        found = _kitchen(sets, samples, draw)
    else:
        found = {"water": _water, "babble": _babble, "taps": _taps, "coughs": _coughs}[kind](
            samples, draw
        )
    return found / np.sqrt(np.mean(found**2))


def _water(samples: int, draw: np.random.Generator) -> npt.NDArray[np.float64]:
    """Running water: 300 to 5,000 Hz, strength fluttering at 3 Hz, with splashes."""
    sound = _coloured(samples, 300.0, 5000.0, draw)
    flutter = 1 + 0.3 * np.sin(2 * np.pi * 3 * np.arange(samples) / RATE + draw.uniform(0, 6.28))
    return sound * flutter + 0.5 * _bursts(samples, 2.0, 0.05, (800.0, 6000.0), draw)


def _taps(samples: int, draw: np.random.Generator) -> npt.NDArray[np.float64]:
    """Metal laid on metal: ringing clanks, two a second, over a faint hiss."""
    places = np.arange(samples) / RATE
    sound = 0.02 * draw.standard_normal(samples)
    for _ in range(max(1, 2 * samples // RATE)):
        begin = draw.uniform(0, samples / RATE)
        since = np.maximum(places - begin, 0.0)
        for hertz in draw.uniform(900, 6000, 4):
            sound += (places >= begin) * np.exp(-since / 0.04) * np.sin(2 * np.pi * hertz * since)
    return sound


def _coughs(samples: int, draw: np.random.Generator) -> npt.NDArray[np.float64]:
    """Coughs: two or three bursts of throat noise, 0.15 s each, every two seconds."""
    return 0.02 * draw.standard_normal(samples) + _bursts(samples, 1.5, 0.15, (250.0, 3000.0), draw)


def _bursts(
    samples: int,
    a_second: float,
    decay_s: float,
    band: tuple[float, float],
    draw: np.random.Generator,
) -> npt.NDArray[np.float64]:
    strength = np.zeros(samples)
    for _ in range(max(1, int(a_second * samples / RATE))):
        begin = int(draw.integers(0, samples))
        since = np.arange(samples - begin) / RATE
        strength[begin:] += draw.uniform(0.3, 1.0) * np.exp(-since / decay_s)
    return strength * _coloured(samples, *band, draw)


def _coloured(
    samples: int, low: float, high: float, draw: np.random.Generator
) -> npt.NDArray[np.float64]:
    """Noise between two frequencies, 12 dB an octave outside; unit power."""
    spectrum = np.fft.rfft(draw.standard_normal(samples))
    hertz = np.maximum(np.fft.rfftfreq(samples, 1 / RATE), 1.0)
    shape = 1 / (1 + (low / hertz) ** 4) / (1 + (hertz / high) ** 4)
    found: npt.NDArray[np.float64] = np.fft.irfft(spectrum * np.sqrt(shape), samples)
    return found / np.sqrt(np.mean(found**2))


def _babble(samples: int, draw: np.random.Generator) -> npt.NDArray[np.float64]:
    """Eight generated talkers, each from another place of its own loop."""
    sound = np.zeros(samples)
    for talker in _talkers():
        at = int(draw.integers(0, len(talker)))
        sound += np.resize(np.roll(talker, -at), samples)
    return sound


@cache
def _talkers() -> tuple[npt.NDArray[np.float64], ...]:
    texts = list(_BABBLE)
    found = []
    for number, voice in enumerate(TALKERS):
        own = " , ".join([*texts[number:], *texts[:number]])
        sound = spoken(Spoken(own, *voice)).astype(np.float64)
        found.append(sound / np.sqrt(np.mean(sound**2)))
    return tuple(found)


def _kitchen(sets: Sets, samples: int, draw: np.random.Generator) -> npt.NDArray[np.float64]:
    path = sets.kitchen
    if path is None:
        raise NoiseMissingError("kitchen.flac is not present")
    whole = _recorded(path)
    at = int(draw.integers(0, len(whole)))
    return np.resize(np.roll(whole, -at), samples)


@cache
def _recorded(path: Path) -> npt.NDArray[np.float64]:
    from assistant.hearing.frames import read  # noqa: PLC0415 - only where it is present

    return read(path).samples.astype(np.float64)
