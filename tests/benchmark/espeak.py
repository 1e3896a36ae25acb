"""A process that speaks with espeak, each text as if it were its first.

The library carries the flutter of its voices on from text to text, and nothing resets
it; so this process starts the library, speaks nothing itself, and forks for each text.
One request a line on the standard input, as JSON; the answer is a line of JSON and
then as many 16-bit samples as it says.
"""

from __future__ import annotations

import ctypes
import json
import os
import sys
from pathlib import Path
from typing import Any

import espeakng_loader

_SYNCHRONOUS = 2  # espeak_ng.h: AUDIO_OUTPUT_SYNCHRONOUS
_WORDS_A_MINUTE, _PITCH, _UTF8 = 1, 3, 1  # espeakRATE, espeakPITCH, espeakCHARS_UTF8
_TAKE = ctypes.CFUNCTYPE(
    ctypes.c_int, ctypes.POINTER(ctypes.c_short), ctypes.c_int, ctypes.c_void_p
)


def main() -> None:
    """Answer until the input ends."""
    library = ctypes.CDLL(espeakng_loader.get_library_path())
    folder = str(Path(espeakng_loader.get_data_path()).parent).encode()
    rate_hz = library.espeak_Initialize(_SYNCHRONOUS, 0, folder, 0)
    for line in sys.stdin:
        child = os.fork()
        if not child:
            _answer(library, rate_hz, json.loads(line))
            os._exit(0)
        os.waitpid(child, 0)


def _answer(library: ctypes.CDLL, rate_hz: int, wanted: dict[str, Any]) -> None:
    sound = bytearray()
    # Some voices breathe: noise, whose seed the library takes from the clock.
    library.espeak_ng_SetRandSeed(ctypes.c_long(1))
    ctypes.CDLL(None).srand(1)

    @_TAKE
    def take(samples: Any, count: int, _events: object) -> int:
        if count > 0 and samples:
            sound.extend(ctypes.string_at(samples, 2 * count))
        return 0

    library.espeak_SetSynthCallback(take)
    known = library.espeak_SetVoiceByName(wanted["voice"].encode()) == 0
    if known:
        library.espeak_SetParameter(_WORDS_A_MINUTE, wanted["words_a_minute"], 0)
        library.espeak_SetParameter(_PITCH, wanted["pitch"], 0)
        text = wanted["text"].encode() + b"\0"
        library.espeak_Synth(text, len(text), 0, 0, 0, _UTF8, None, None)
        library.espeak_Synchronize()
    told = {"known": known, "rate_hz": rate_hz, "samples": len(sound) // 2}
    sys.stdout.buffer.write(json.dumps(told).encode() + b"\n" + bytes(sound))
    sys.stdout.buffer.flush()


if __name__ == "__main__":
    main()
