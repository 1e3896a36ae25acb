"""Voices that took no part in tuning, by the espeak library of its loader's wheel.

Used before, and so left out here: en-us, en-us+f2, +m3, +f4, en-gb, en-gb+f3, +m1,
en-gb-scotland, en-gb-scotland+f3 and en-gb-x-rp (``tests/hearing/test_own_commands.py``,
``audio_fixtures/generate.py``), and four flite voices that no wheel brings.  These have
other variants (throat and pitch range), other accents, other speeds and pitches; they
are the same kind of synthesis, so they tell less than people would.  The library calls
its British voice "en".
"""

from __future__ import annotations

import ctypes
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import espeakng_loader
import numpy as np
import soxr

from tests.benchmark.level import RATE

if TYPE_CHECKING:
    import numpy.typing as npt

_SYNCHRONOUS = 2  # espeak_ng.h: AUDIO_OUTPUT_SYNCHRONOUS
_WORDS_A_MINUTE, _PITCH, _UTF8 = 1, 3, 1  # espeakRATE, espeakPITCH, espeakCHARS_UTF8
_PHONEMES_VOICE = b"en-us"  # tests.grammar.phonemes asks the same library
_TAKE = ctypes.CFUNCTYPE(
    ctypes.c_int, ctypes.POINTER(ctypes.c_short), ctypes.c_int, ctypes.c_void_p
)

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
    """The speech, float32, 16 kHz, without silence of its own at the end.

    Raises:
        LookupError: there is no such voice.
    """
    library, rate_hz = _library()
    parts: list[npt.NDArray[np.int16]] = []

    @_TAKE
    def take(sound: Any, count: int, _events: object) -> int:
        if count > 0 and sound:
            parts.append(np.ctypeslib.as_array(sound, (count,)).copy())
        return 0

    library.espeak_SetSynthCallback(take)
    if library.espeak_SetVoiceByName(what.voice.encode()) != 0:
        raise LookupError(f'the espeak library has no voice "{what.voice}"')
    library.espeak_SetParameter(_WORDS_A_MINUTE, what.words_a_minute, 0)
    library.espeak_SetParameter(_PITCH, what.pitch, 0)
    line = what.text.encode() + b"\0"
    library.espeak_Synth(line, len(line), 0, 0, 0, _UTF8, None, None)
    library.espeak_Synchronize()
    library.espeak_SetVoiceByName(_PHONEMES_VOICE)
    sound = np.concatenate(parts).astype(np.float32) / 32768
    return soxr.resample(sound, rate_hz, RATE).astype(np.float32)


@cache
def _library() -> tuple[ctypes.CDLL, int]:
    library = ctypes.CDLL(espeakng_loader.get_library_path())
    folder = str(Path(espeakng_loader.get_data_path()).parent).encode()
    rate_hz = library.espeak_Initialize(_SYNCHRONOUS, 0, folder, 0)
    if rate_hz <= 0:
        raise RuntimeError("the espeak library does not start")
    return library, rate_hz
