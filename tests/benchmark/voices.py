"""Voices that took no part in tuning, by the espeak library of its loader's wheel.

Used before, and so left out here: en-us, en-us+f2, +m3, +f4, en-gb, en-gb+f3, +m1,
en-gb-scotland, en-gb-scotland+f3 and en-gb-x-rp (``tests/hearing/test_own_commands.py``,
``audio_fixtures/generate.py``), and four flite voices that no wheel brings.  These have
other variants (throat and pitch range), other accents, other speeds and pitches; they
are the same kind of synthesis, so they tell less than people would.  The library calls
its British voice "en".
"""

from __future__ import annotations

import atexit
import json
import subprocess
import sys
from dataclasses import asdict, dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import soxr

from tests.benchmark.level import RATE

if TYPE_CHECKING:
    import numpy.typing as npt

# Voice, words a minute, pitch (0 to 99, 50 is usual).
UNUSED: tuple[tuple[str, int, int], ...] = (
    ("en-us+f1", 140, 55),
    ("en-us+m7", 165, 40),
    ("en-us+f5", 175, 62),
    ("en-us+steph", 150, 50),
    ("en-us+michael", 155, 45),
    ("en-us-nyc+m2", 160, 48),
    ("en-us-nyc+belinda", 145, 58),
    ("en+m4", 150, 42),
    ("en+linda", 160, 52),
    ("en-gb-x-gbclan+m5", 150, 50),
    ("en-gb-x-gbcwmd+f1", 155, 60),
    ("en-029+m8", 150, 46),
)
TALKERS: tuple[tuple[str, int, int], ...] = (
    ("en+m6", 170, 35),
    ("en-us+f3", 180, 65),
    ("en-029+f2", 165, 55),
    ("en-us+m1", 175, 42),
    ("en-gb-x-gbclan+f4", 160, 60),
    ("en+grandma", 150, 70),
    ("en-us+john", 185, 45),
    ("en-gb-x-gbcwmd+m3", 170, 50),
)


@dataclass(frozen=True, slots=True)
class Spoken:
    """A text and how it is spoken.

    Attributes:
        text: words.
        voice: an espeak voice, "+variant" behind it.
        words_a_minute: 80 to 450.
        pitch: 0 to 99.
    """

    text: str
    voice: str
    words_a_minute: int = 150
    pitch: int = 50


def spoken(what: Spoken) -> npt.NDArray[np.float32]:
    """The speech, float32, 16 kHz: the same, to the bit, whatever was spoken before.

    Raises:
        LookupError: there is no such voice.
    """
    speaker = _speaker()
    if speaker.stdin is None or speaker.stdout is None:
        raise RuntimeError("the speaking process has no pipes")
    speaker.stdin.write(json.dumps(asdict(what)).encode() + b"\n")
    speaker.stdin.flush()
    told = json.loads(speaker.stdout.readline())
    if not told["known"]:
        raise LookupError(f'the espeak library has no voice "{what.voice}"')
    sound = np.frombuffer(speaker.stdout.read(2 * told["samples"]), "<i2")
    rate_hz = told["rate_hz"]
    return soxr.resample(sound.astype(np.float32) / 32768, rate_hz, RATE).astype(np.float32)


@cache
def _speaker() -> subprocess.Popen[bytes]:
    """The process that speaks for this one, until this one ends."""
    script = Path(__file__).with_name("espeak.py")
    speaker = subprocess.Popen(
        [sys.executable, str(script)], stdin=subprocess.PIPE, stdout=subprocess.PIPE
    )
    atexit.register(_silenced, speaker)
    return speaker


def _silenced(speaker: subprocess.Popen[bytes]) -> None:
    for pipe in (speaker.stdin, speaker.stdout):
        if pipe is not None:
            pipe.close()
    speaker.wait(timeout=5)
