"""One case of the benchmark: something that sounds, and what it should be heard as."""

from __future__ import annotations

import zlib
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from tests.benchmark.level import NOMINAL_DB, RATE, raised
from tests.benchmark.voices import Spoken, spoken

if TYPE_CHECKING:
    import numpy.typing as npt


@dataclass(frozen=True, slots=True)
class Recorded:
    """A sound file: WAV, FLAC, headerless 16-bit 16 kHz (.raw), or G.722 (.g722)."""

    path: str


@dataclass(frozen=True, slots=True)
class Noise:
    """A noise alone.

    Attributes:
        kind: as in ``noises.noise``.
        seconds: how long.
    """

    kind: str
    seconds: float


@dataclass(frozen=True, slots=True)
class Talk:
    """Sentences one after another, equally loud.

    Attributes:
        sentences: what sounds.
        pauses_s: silence before each, seconds.
    """

    sentences: tuple[Spoken | Recorded, ...]
    pauses_s: tuple[float, ...]


Source = Spoken | Recorded | Noise | Talk


@dataclass(frozen=True, slots=True)
class Case:
    """Something that sounds, and what it should be heard as.

    Attributes:
        id: unique within its part.
        source: what sounds.
        said: the words, as far as they are known.
        wanted: the meaning that should act; "" where nothing should.
        human: whether a person speaks.
        group: what figures are also given by ("reading", "sound", "negation").
    """

    id: str
    source: Source
    said: str
    wanted: str = ""
    human: bool = False
    group: str = ""


def seed(*names: object) -> int:
    """A seed that depends on these names and on nothing else."""
    return zlib.crc32("|".join(map(str, names)).encode())


def sound(source: Spoken | Recorded | Talk) -> npt.NDArray[np.float32]:
    """Speech, float32, 16 kHz.

    Raises:
        AudioError: a file cannot be read.
    """
    match source:
        case Spoken():
            return spoken(source)
        case Recorded(path):
            return recorded(Path(path))
        case Talk(sentences, pauses_s):
            parts = []
            for sentence, pause_s in zip(sentences, pauses_s, strict=True):
                parts.append(np.zeros(round(pause_s * RATE), np.float32))
                parts.append(raised(sound(sentence), NOMINAL_DB))
            return np.concatenate(parts)


def recorded(path: Path) -> npt.NDArray[np.float32]:
    """A sound file's samples, 16 kHz.

    Raises:
        AudioError: it cannot be read.
    """
    from assistant.hearing.frames import read  # noqa: PLC0415 - loads a library

    if path.suffix == ".raw":
        return np.fromfile(path, "<i2").astype(np.float32) / 32768
    if path.suffix == ".g722":
        from G722 import G722  # noqa: PLC0415 - only where such files are present

        decoded = G722(RATE, 64_000).decode(path.read_bytes())
        return np.asarray(decoded, np.float32) / 32768
    return read(path).samples
