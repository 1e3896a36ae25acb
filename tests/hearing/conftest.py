"""Speech made at test time with the espeak-ng library that its loader's wheel brings."""

import ctypes
from collections.abc import Callable
from pathlib import Path

import espeakng_loader
import numpy as np
import pytest
import soxr

SYNCHRONOUS = 2  # espeak_ng.h: AUDIO_OUTPUT_SYNCHRONOUS
RATE, PITCH, UTF8 = 1, 3, 1  # espeakRATE, espeakPITCH, espeakCHARS_UTF8
Take = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.POINTER(ctypes.c_short), ctypes.c_int, ctypes.c_void_p)


@pytest.fixture(scope="session")
def speak() -> Callable[..., np.ndarray]:
    """Speech as float32 at 16 kHz: ``speak(text, voice, words_per_minute, pitch)``."""
    library = ctypes.CDLL(espeakng_loader.get_library_path())
    parts = []

    @Take
    def take(sound, count, _events):
        if count > 0 and sound:
            parts.append(np.ctypeslib.as_array(sound, (count,)).copy())
        return 0

    data = str(Path(espeakng_loader.get_data_path()).parent).encode()
    rate_hz = library.espeak_Initialize(SYNCHRONOUS, 0, data, 0)
    assert rate_hz > 0

    def spoken(text, voice="en-us", words_per_minute=150, pitch=50):
        parts.clear()
        library.espeak_SetSynthCallback(take)
        assert library.espeak_SetVoiceByName(voice.encode()) == 0
        library.espeak_SetParameter(RATE, words_per_minute, 0)
        library.espeak_SetParameter(PITCH, pitch, 0)
        line = text.encode() + b"\0"
        library.espeak_Synth(line, len(line), 0, 0, 0, UTF8, None, None)
        library.espeak_Synchronize()
        sound = np.concatenate(parts).astype(np.float32) / 32768
        return soxr.resample(sound, rate_hz, 16_000).astype(np.float32)

    return spoken
