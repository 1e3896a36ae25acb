"""How a live session speaks: lines are said one at a time and can be cut off at once."""

from __future__ import annotations

import queue
import threading
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from assistant.speaking.line import Line
from assistant.speaking.playback import PlaybackError
from assistant.speaking.voice import VoiceError

if TYPE_CHECKING:
    from collections.abc import Callable

    from assistant.session.effect import ToneName
    from assistant.speaking.clip import Clip
    from assistant.speaking.playback import Playback, Playing
    from assistant.speaking.voice import Voice


@dataclass(frozen=True, slots=True)
class LineEnded:
    """A line is said, or was cut off, or could not be sounded.

    Attributes:
        line: which.
        to_the_end: whether it was heard to its end.
        fault: why it could not be sounded; "" where it could.
    """

    line: Line
    to_the_end: bool
    fault: str = ""


class Mouth(Protocol):
    """Says lines."""

    def speak(self, line: Line) -> bool:
        """Begin to say a line; True where that is over at once.

        Otherwise ``LineEnded`` is told when it is over.
        """
        ...

    def sound(self, tone: ToneName) -> None:
        """Sound a tone, before whatever is said next."""
        ...

    def stop(self) -> None:
        """Fall silent at once; the line's end is told as cut off."""
        ...

    def close(self) -> None:
        """Speak no more."""
        ...


@dataclass(frozen=True, slots=True)
class PrintedMouth:
    """Says nothing aloud: a line counts as read once it is shown."""

    def speak(self, line: Line) -> bool:
        """Over at once: the account shows the line."""
        del line
        return True

    def sound(self, tone: ToneName) -> None:
        """Nothing: the account shows the tone's name."""

    def stop(self) -> None:
        """Nothing: a printed line is never half said."""

    def close(self) -> None:
        """Nothing to give up."""


class LoudMouth:
    """Says lines through a loudspeaker, in a thread that nobody else touches."""

    def __init__(
        self,
        voice: Voice,
        playback: Playback,
        tones: Callable[[ToneName], Clip],
        tell: Callable[[LineEnded], None],
    ) -> None:
        """Speak with a voice.

        Args:
            voice: renders lines.
            playback: sounds clips, and stops at once.
            tones: the clip of each tone.
            tell: takes the end of each line.
        """
        self._voice = voice
        self._playback = playback
        self._tones = tones
        self._tell = tell
        self._wanted: queue.Queue[Line | ToneName | None] = queue.Queue()
        self._turn = threading.Lock()
        self._playing: Playing | None = None
        self._busy = False  # a line was given and has not ended
        self._cut = False  # it is to be cut off
        self._thread = threading.Thread(target=self._work, name="mouth", daemon=True)
        self._thread.start()

    def speak(self, line: Line) -> bool:
        """Begin to say a line."""
        with self._turn:
            self._busy = True
        self._wanted.put(line)
        return False

    def sound(self, tone: ToneName) -> None:
        """Sound a tone, before whatever is said next."""
        self._wanted.put(tone)

    def stop(self) -> None:
        """Fall silent at once, also where the line is still being rendered."""
        with self._turn:
            self._cut = self._busy
            if self._playing is not None:
                self._playing.stop()

    def close(self) -> None:
        """Fall silent and end the thread."""
        self.stop()
        self._wanted.put(None)
        self._thread.join(timeout=3)

    def _work(self) -> None:
        while (wanted := self._wanted.get()) is not None:
            if isinstance(wanted, Line):
                ended = self._say(wanted)
                with self._turn:
                    self._busy = self._cut = False
                self._tell(ended)
            else:
                self._chime(wanted)

    def _say(self, line: Line) -> LineEnded:
        try:
            return LineEnded(line, to_the_end=self._play(self._voice.render(line.spoken)))
        except (VoiceError, PlaybackError) as error:
            # Not heard, so not given; the account shows the words meanwhile.
            return LineEnded(line, to_the_end=False, fault=str(error))

    def _chime(self, tone: ToneName) -> None:
        try:
            self._play(self._tones(tone))
        except PlaybackError:
            return  # the tone's twin stands in the account; the next line tells the fault

    def _play(self, clip: Clip) -> bool:
        with self._turn:
            if self._cut:
                return False
            self._playing = self._playback.start(clip)
        finished = self._playing.wait().finished
        with self._turn:
            self._playing = None
        return finished
