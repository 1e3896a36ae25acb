"""The voice engine's process, seen from outside: asked with a deadline, killed when it hangs."""

from __future__ import annotations

import contextlib
import json
import queue
import subprocess
import sys
import threading
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

WORKER = Path(__file__).with_name("espeak_worker.py")
START_S = 20.0  # a slow board reads its libraries from a card


class EngineError(Exception):
    """The engine did not do what it was asked; the message says what happened."""


@dataclass(frozen=True, slots=True)
class VoiceName:
    """A voice of the engine.

    Attributes:
        id: what the engine calls it, lower case ("gmw/en-us").
        name: its name in English.
        language: BCP 47 tag, "" where the engine names none.
    """

    id: str
    name: str
    language: str


class Engine:
    """A running engine.

    Attributes:
        voices: what it can speak with.
    """

    def __init__(self, folder: Path, worker: Path = WORKER) -> None:
        """Start the process and wait until it is ready.

        Args:
            folder: for its files; exists, and its path is short.
            worker: the program to run.

        Raises:
            EngineError: it did not get ready.
        """
        self._log = folder / "engine.log"
        with self._log.open("wb") as log:
            # -P: the worker's own folder must not shadow other modules.  A session
            # of its own: Ctrl-C is ours to answer, not the engine's.
            self._process = subprocess.Popen(  # noqa: S603 - our own file
                [sys.executable, "-P", str(worker), str(folder)],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=log,
                text=True,
                encoding="utf-8",
                start_new_session=True,
            )
        self._answers: queue.Queue[str] = queue.Queue()
        threading.Thread(target=self._listen, args=(self._process.stdout,), daemon=True).start()
        try:
            found = self._answer(START_S)["voices"]
        except EngineError:
            self.kill()
            raise
        self.voices = [VoiceName(*voice) for voice in found]

    def render(self, words: str, voice: str, rate: int, path: Path, within_s: float) -> None:
        """Have the words written to a WAV file.

        Raises:
            EngineError: it failed, or is not done within so many seconds.
        """
        request = {"words": words, "voice": voice, "rate": rate, "path": str(path)}
        stdin = self._process.stdin
        try:
            if stdin is not None:
                stdin.write(json.dumps(request) + "\n")
                stdin.flush()
        except OSError as error:
            raise EngineError(self._end()) from error
        self._answer(within_s)

    def close(self) -> None:
        """End the process."""
        if self._process.stdin is not None:
            with contextlib.suppress(OSError):
                self._process.stdin.close()
        try:
            self._process.wait(1)
        except subprocess.TimeoutExpired:
            self.kill()

    def kill(self) -> None:
        """End the process at once, whatever it does."""
        self._process.kill()
        self._process.wait()
        if self._process.stdin is not None:
            with contextlib.suppress(OSError):
                self._process.stdin.close()

    def _listen(self, stdout: IO[str]) -> None:
        with stdout:
            for line in stdout:
                self._answers.put(line)
        self._answers.put("")

    def _answer(self, within_s: float) -> dict[str, Any]:
        try:
            line = self._answers.get(timeout=within_s)
        except queue.Empty:
            raise EngineError(f"the engine did not answer within {within_s:g} s") from None
        if not line:
            raise EngineError(self._end())
        reply: dict[str, Any] = json.loads(line)
        if "error" in reply:
            raise EngineError(str(reply["error"]))
        return reply

    def _end(self) -> str:
        """Why the process ended, by its exit status and its last words."""
        with contextlib.suppress(subprocess.TimeoutExpired):
            self._process.wait(1)
        lines = self._log.read_text(encoding="utf-8", errors="replace").strip().splitlines()
        last = f": {lines[-1]}" if lines else ""
        return f"the engine ended with status {self._process.returncode}{last}"
