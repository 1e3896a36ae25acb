"""An engine that misbehaves on request, speaking the protocol of ``espeak_worker``.

A fault happens once for each word that names it, in every process for words that
end in "always": the folder given as the first argument keeps count.
"""

from __future__ import annotations

import json
import os
import sys
import time
import wave
from pathlib import Path

FOLDER = Path(sys.argv[1])


def write(path: str, seconds: float, *, loud: bool = True, channels: int = 1) -> None:
    with wave.open(path, "wb") as file:
        file.setnchannels(channels)
        file.setsampwidth(2)
        file.setframerate(16000)
        file.writeframes((b"\x00\x40\x00\xc0" if loud else b"\0\0\0\0") * round(8000 * seconds))


def due(word: str) -> bool:
    mark = FOLDER / word
    first = not mark.exists()
    mark.touch()
    return first or word.endswith("always")


def answer(reply: dict[str, object]) -> None:
    sys.stdout.write(json.dumps(reply) + "\n")
    sys.stdout.flush()


answer({"voices": [["en", "English", "en"], ["gmw/en-us", "American", "en-us"]]})
for line in sys.stdin:
    request = json.loads(line)
    words, path = request["words"], request["path"]
    fault = words.split()[0]
    if fault.startswith("hang") and due(fault):
        time.sleep(600)
    if fault.startswith("die") and due(fault):
        os.abort()
    if fault.startswith("refuse"):
        answer({"error": "no such voice"})
        continue
    if fault.startswith("stereo"):
        write(path, 5, channels=2)
    elif fault.startswith("short"):
        write(path, 0.001)
    elif fault.startswith("silent"):
        write(path, 5, loud=False)
    elif fault.startswith("truncated"):
        Path(path).write_bytes(b"RIFF")
    elif not fault.startswith("nothing"):
        write(path, 5)
    answer({})
