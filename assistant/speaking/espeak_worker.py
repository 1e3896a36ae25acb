"""The process that owns the voice engine: a JSON request a line in, an answer a line out.

Run as a file by ``voice``, so it imports nothing of this program.  The engine is
known to hang; here it can be killed without harm.

It first says ``{"voices": [[id, name, language], ...]}`` or ``{"error": ...}``.
A request ``{"words", "voice", "rate", "path"}`` is answered ``{}`` once the WAV
file is written, or ``{"error": ...}``.  It ends when its standard input does.
"""

from __future__ import annotations

import ctypes
import json
import os
import queue
import sys
import threading
from pathlib import Path
from typing import Any

TRIES = 3
HEADER_BYTES = 44  # of a WAV file without sound


def _load_library(folder: Path) -> None:
    """Make the espeak library of the wheel the one that pyttsx3 finds by name."""
    import espeakng_loader  # noqa: PLC0415 - its absence must be answered, not raised

    ctypes.CDLL(espeakng_loader.get_library_path(), mode=ctypes.RTLD_GLOBAL)
    data = Path(espeakng_loader.get_data_path())
    # The library holds the path of its data in 160 bytes and falls back to its
    # builder's path where they do not suffice; a link keeps the path short.
    short = folder / data.name
    try:
        short.symlink_to(data, target_is_directory=True)
    except OSError:  # no right to make links
        short = data
    os.environ["ESPEAK_DATA_PATH"] = str(short.parent)


class _Engine:
    """The voice engine, and the errors that it only notifies."""

    def __init__(self) -> None:
        import pyttsx3  # noqa: PLC0415 - the library must be loaded first

        self._engine: Any = pyttsx3.init("espeak")
        self._errors: list[str] = []
        self._engine.connect(
            "error", lambda name, exception: self._errors.append(str(exception or name))
        )

    def voices(self) -> list[list[str]]:
        """Id, name and language of each voice."""
        return [
            [voice.id, voice.name, str((voice.languages or [""])[0])]
            for voice in self._engine.getProperty("voices")
        ]

    def render(self, words: str, voice: str, rate: int, path: str) -> str:
        """Write the words to a WAV file; what went wrong, or "".

        Now and then (1 or 2 texts in 1,000 under load) the library reports the end of
        a text at once, without a sample; asked again, it speaks.
        """
        for _ in range(TRIES):
            self._errors.clear()
            self._engine.setProperty("voice", voice)
            self._engine.setProperty("rate", rate)
            self._engine.save_to_file(words, path)
            # Everything above is only queued; the engine does it now.
            self._engine.runAndWait()
            if self._errors:
                return "; ".join(self._errors)
            if Path(path).stat().st_size > HEADER_BYTES:
                break
        used = self._engine.getProperty("voice")
        return "" if used == voice else f"the engine used the voice {used} instead of {voice}"


def _requests() -> queue.Queue[str]:
    """Lines of standard input; when it ends, so does this process, hung or not."""
    lines: queue.Queue[str] = queue.Queue()

    def read() -> None:
        for line in sys.stdin:
            lines.put(line)
        os._exit(0)

    threading.Thread(target=read, daemon=True).start()
    return lines


def main() -> None:
    """Answer requests until standard input ends."""
    # Answers keep the pipe to themselves: the engine prints to standard output.
    answers = os.fdopen(os.dup(1), "w", encoding="utf-8")
    os.dup2(2, 1)

    def answer(reply: dict[str, object]) -> None:
        answers.write(json.dumps(reply) + "\n")
        answers.flush()

    requests = _requests()
    try:
        _load_library(Path(sys.argv[1]))
        engine = _Engine()
        answer({"voices": engine.voices()})
    except Exception as error:  # noqa: BLE001 - whatever it is, the other side tells it
        answer({"error": f"{type(error).__name__}: {error}"})
        return
    while True:
        request = json.loads(requests.get())
        try:
            error_text = engine.render(**request)
        except Exception as error:  # noqa: BLE001 - likewise
            error_text = f"{type(error).__name__}: {error}"
        answer({"error": error_text} if error_text else {})


if __name__ == "__main__":
    main()
