"""Phonemes of English phrases, by the espeak library that the wheel espeakng-loader brings."""

from __future__ import annotations

import ctypes
from functools import cache
from pathlib import Path

import espeakng_loader

_RETRIEVAL = 2  # AUDIO_OUTPUT_SYNCHRONOUS: nothing is played
_UTF8 = 1
_NAMES = 0x0  # ASCII phoneme names


@cache
def _library() -> ctypes.CDLL:
    library = ctypes.CDLL(espeakng_loader.get_library_path())
    folder = str(Path(espeakng_loader.get_data_path()).parent).encode()
    library.espeak_TextToPhonemes.restype = ctypes.c_char_p
    library.espeak_TextToPhonemes.argtypes = [
        ctypes.POINTER(ctypes.c_char_p),
        ctypes.c_int,
        ctypes.c_int,
    ]
    if library.espeak_Initialize(_RETRIEVAL, 0, folder, 0) < 0:
        raise RuntimeError("the espeak library does not start")
    library.espeak_SetVoiceByName(b"en-us")
    return library


@cache
def phonemes(phrase: str) -> str:
    """ASCII phonemes of the phrase, stress marks and spaces left out."""
    text = ctypes.c_char_p(phrase.encode())
    spoken = _library().espeak_TextToPhonemes(ctypes.byref(text), _UTF8, _NAMES).decode()
    return "".join(sign for sign in spoken if sign.isalpha() or sign in "@#&")
