"""Playback of clips: one at a time, stopped at once, and true about what was heard."""

from __future__ import annotations

import threading
import time
import wave
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    import numpy.typing as npt

    from assistant.speaking.clip import Clip

    Block = npt.NDArray[np.float32]
    # Writes the next samples into the block, all of it; False once nothing follows.
    Fill = Callable[[Block], bool]

LEAD_IN_S = 0.3  # a sleeping sound card swallows 0.05 to 1.5 s of what comes first
IDLE_S = 2.0  # after so much silence it may be asleep
STALL_S = 2.0  # a card that takes this much longer than the clip is gone
BLOCK_S = 0.02


class PlaybackError(Exception):
    """Sound cannot be played; the message is one sentence with the remedy."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """How a clip's playing ended.

    Attributes:
        finished: True where it was played to its end.
        seconds: how much of the clip was played, seconds, lead-in not counted.
    """

    finished: bool
    seconds: float


class Playing(Protocol):
    """A clip being played."""

    def stop(self) -> None:
        """Fall silent at once; from any thread, more than once, and after the end too."""
        ...

    def wait(self) -> Outcome:
        """Wait for the end.

        Raises:
            PlaybackError: the sound card stopped taking sound.
        """
        ...


class Playback(Protocol):
    """Plays clips."""

    def start(self, clip: Clip) -> Playing:
        """Begin to play a clip; ends the one before.

        Raises:
            PlaybackError: there is nothing to play it on.
        """
        ...


class Stream(Protocol):
    """An output of a sound card that is pulling samples."""

    def abort(self) -> None:
        """Fall silent without playing what was pulled already."""
        ...

    def close(self) -> None:
        """Give the card back."""
        ...


class Card(Protocol):
    """A sound card."""

    def open(
        self, clip_rate: int, make: Callable[[int], Fill], ended: Callable[[], None]
    ) -> Stream:
        """Begin to play, at the clip's rate or at the card's own where it must.

        Args:
            clip_rate: wanted samples a second, Hz.
            make: gives the source of samples for the rate that was found, Hz.
            ended: called once everything was played, or the stream was aborted.

        Raises:
            PlaybackError: there is no such card, or it cannot be opened.
        """
        ...


class SpeakerPlayback:
    """Plays clips on a sound card."""

    def __init__(
        self,
        card: Card,
        *,
        lead_in_s: float = LEAD_IN_S,
        idle_s: float = IDLE_S,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        """Play on a card.

        Args:
            card: where to play.
            lead_in_s: silence before a clip after idleness, seconds.
            idle_s: from how much idleness on, seconds.
            clock: seconds, never going back.
        """
        self._card = card
        self._lead_in_s = lead_in_s
        self._idle_s = idle_s
        self._clock = clock
        self._quiet_since: float | None = None
        self._playing: _CardPlaying | None = None

    def start(self, clip: Clip) -> Playing:
        """Begin to play a clip; ends the one before.

        Raises:
            PlaybackError: there is no sound card, or it cannot be opened.
        """
        if self._playing is not None:
            self._playing.stop()
        since = self._quiet_since
        asleep = since is None or self._clock() - since > self._idle_s
        self._playing = _CardPlaying(
            self._card, clip, self._lead_in_s if asleep else 0.0, self._fell_silent
        )
        return self._playing

    def _fell_silent(self) -> None:
        self._quiet_since = self._clock()


class _CardPlaying:
    """A clip being played on a card."""

    def __init__(
        self, card: Card, clip: Clip, lead_in_s: float, silent: Callable[[], None]
    ) -> None:
        self._clip = clip
        self._lead_in_s = lead_in_s
        self._silent = silent
        self._ended = threading.Event()
        self._stopped = threading.Event()
        self._closing = threading.Lock()
        self._open = True
        self._rate = clip.rate
        self._sound: Block = clip.samples
        self._given = 0
        self._stream = card.open(clip.rate, self._source, self._end)

    def stop(self) -> None:
        ended = self._ended.is_set()
        if not ended:
            self._stopped.set()
        self._close(abort=not ended)
        self._end()

    def wait(self) -> Outcome:
        limit = len(self._sound) / self._rate + STALL_S
        in_time = self._ended.wait(limit)
        self._close(abort=not in_time)
        if not in_time:
            raise PlaybackError(
                f"The sound card stopped taking sound in the middle of {self._clip.words!r}; "
                "see whether it is still connected."
            )
        whole = self._given >= len(self._sound) and not self._stopped.is_set()
        if whole:
            return Outcome(finished=True, seconds=self._clip.seconds)
        heard = max(0.0, self._given / self._rate - self._lead_in_s)
        return Outcome(finished=False, seconds=min(heard, self._clip.seconds))

    def _source(self, rate: int) -> Fill:
        """The clip at the card's rate, with the lead-in before it."""
        samples = self._clip.samples
        if rate != self._clip.rate:
            import soxr  # noqa: PLC0415 - only cards that cannot do the voice's rate

            samples = soxr.resample(samples, self._clip.rate, rate).astype(np.float32)
        self._rate = rate
        lead_in = np.zeros(round(self._lead_in_s * rate), np.float32)
        self._sound = np.concatenate([lead_in, samples])
        return self._fill

    def _fill(self, block: Block) -> bool:
        if self._stopped.is_set():
            block[:] = 0
            return False
        piece = self._sound[self._given : self._given + len(block)]
        block[: len(piece)] = piece
        block[len(piece) :] = 0
        self._given += len(piece)
        return self._given < len(self._sound)

    def _end(self) -> None:
        # Called by the card's own thread, in which closing the stream would hang.
        if not self._ended.is_set():
            self._silent()
            self._ended.set()

    def _close(self, *, abort: bool) -> None:
        with self._closing:
            if self._open:
                self._open = False
                if abort:
                    self._stream.abort()
                self._stream.close()


class MemoryPlayback:
    """Plays to no one: clips are kept in order, each done at once.

    Attributes:
        played: the clips, in order.
    """

    def __init__(self) -> None:
        self.played: list[Clip] = []

    def start(self, clip: Clip) -> Playing:
        """Keep a clip; it has been played."""
        self.played.append(clip)
        return _Played(Outcome(finished=True, seconds=clip.seconds))

    def save(self, path: Path, pause_s: float = 0.5) -> None:
        """Write all that was played to one 16-bit WAV file, with pauses between the clips.

        Raises:
            OSError: the file cannot be written.
        """
        rate = max((clip.rate for clip in self.played), default=22_050)
        pause = np.zeros(round(pause_s * rate), np.float32)
        with wave.open(str(path), "wb") as file:
            file.setnchannels(1)
            file.setsampwidth(2)
            file.setframerate(rate)
            for clip in self.played:
                samples = clip.samples
                if clip.rate != rate:
                    import soxr  # noqa: PLC0415 - only where rates differ

                    samples = soxr.resample(samples, clip.rate, rate)
                for part in (samples, pause):
                    whole = np.clip(part, -1, 1) * 32767
                    file.writeframes(whole.astype("<i2").tobytes())


@dataclass(frozen=True, slots=True)
class _Played:
    outcome: Outcome

    def stop(self) -> None:
        """Nothing: it is over."""

    def wait(self) -> Outcome:
        return self.outcome
