"""The microphone's thread: sound in, what was said out, and the way back when it is lost."""

from __future__ import annotations

import threading
from typing import TYPE_CHECKING

from assistant.hearing.microphone import Microphone, MicrophoneError
from assistant.station.loop import Trouble

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from assistant.hearing.microphone import Chunk
    from assistant.station.clock import Clock
    from assistant.station.ear import Ear
    from assistant.station.loop import Message

RETRY_S = 1.0  # between two tries to get a lost microphone back


class Listening:
    """Hears a microphone in a thread of its own until it is closed."""

    def __init__(
        self,
        open_microphone: Callable[[], Microphone],
        ear: Ear,
        clock: Clock,
        tell: Callable[[Message], None],
    ) -> None:
        """Open the microphone and begin to hear it.

        Args:
            open_microphone: opens it, now and whenever it was lost.
            ear: understands utterances.
            clock: the session's clock.
            tell: takes what was said, and what went wrong.

        Raises:
            MicrophoneError: it cannot be opened now.
            ScriptError: the ear has no recognizer.
        """
        self._open = open_microphone
        self._ear = ear
        self._clock = clock
        self._tell = tell
        self._closing = threading.Event()
        self._stream = ear.stream()
        self._begin: datetime | None = None
        self._microphone: Microphone | None = open_microphone()
        self._thread = threading.Thread(target=self._work, name="listening", daemon=True)
        self._thread.start()

    def close(self) -> None:
        """End the thread and let the microphone go."""
        self._closing.set()
        self._thread.join(timeout=3)
        if self._microphone is not None:
            self._microphone.close()

    def _work(self) -> None:
        while not self._closing.is_set():
            try:
                microphone = self._opened()
                self._hear(microphone.read())
            except MicrophoneError as error:
                self._lost(error)

    def _opened(self) -> Microphone:
        if self._microphone is None:
            self._microphone = self._open()
            self._tell(Trouble(f'the microphone "{self._microphone.device.name}" is back'))
        return self._microphone

    def _hear(self, chunk: Chunk) -> None:
        """What the chunk ends; a gap in the sound breaks whatever was being said."""
        if chunk.lost_s:
            self._stream.reset()
            self._begin = None
        if self._begin is None:
            self._begin = self._clock.now()
        for heard in self._stream.push(chunk.samples):
            self._tell(self._ear.said(heard, self._begin))

    def _lost(self, error: MicrophoneError) -> None:
        """Tell it once, then try until it is back; timers and record go on meanwhile."""
        if self._microphone is not None:
            self._tell(Trouble(str(error)))
            self._microphone.close()
            self._microphone = None
            self._stream.reset()
            self._begin = None
        self._closing.wait(RETRY_S)
