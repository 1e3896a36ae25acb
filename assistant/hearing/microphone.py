"""The microphone: sound at 16 kHz mono, as it comes in, through sounddevice."""

from __future__ import annotations

import contextlib
import queue
import time
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final, Protocol, Self

import numpy as np

from assistant.hearing.frames import FRAME_S
from assistant.hearing.recognizer import SAMPLE_RATE

if TYPE_CHECKING:
    from collections.abc import Callable

    import numpy.typing as npt

STALE_S: Final = 3.0
"""Seconds after which sound is dropped unheard: a command must never act late."""

WATCHDOG_S: Final = 2.0
"""Seconds without any sound, silence included, after which the microphone is lost."""

_QUEUED: Final = round(2 * STALE_S / FRAME_S)  # chunks; what lies longer is stale anyway
_NO_PORTAUDIO: Final = (
    "the PortAudio library is missing, so no microphone can be used: install it "
    "(Debian and Ubuntu: apt install libportaudio2; macOS: brew install portaudio), "
    "or go on without: --keys or --script"
)


class MicrophoneError(Exception):
    """No microphone can be used; the message says why and the remedy."""


class MicrophoneLostError(MicrophoneError):
    """The microphone was there and sends nothing any more."""


class _Status(Protocol):
    """What the sound library says beside the sound."""

    input_overflow: bool


@dataclass(frozen=True, slots=True)
class Device:
    """An input device.

    Attributes:
        index: its number for the sound library.
        name: as the system calls it.
        rate_hz: the rate it works at, Hz.
    """

    index: int
    name: str
    rate_hz: float


@dataclass(frozen=True, slots=True)
class Chunk:
    """Sound that came in.

    Attributes:
        samples: float32, shape (n,), 16 kHz mono.
        lost_s: seconds of sound lost just before it; where more than 0, what was
            being said is broken and must be forgotten.
    """

    samples: npt.NDArray[np.float32]
    lost_s: float = 0.0


def library() -> Any:  # noqa: ANN401  (sounddevice has no types)
    """The sounddevice module.

    Raises:
        MicrophoneError: PortAudio, which it stands on, is missing.
    """
    try:
        import sounddevice  # noqa: PLC0415  (heavy, and fails without PortAudio)
    except (ImportError, OSError):
        raise MicrophoneError(_NO_PORTAUDIO) from None
    return sounddevice


def devices(sounddevice: Any) -> tuple[Device, ...]:  # noqa: ANN401
    """Every device that sound can come in by."""
    return tuple(
        Device(index, str(found["name"]), float(found["default_samplerate"]))
        for index, found in enumerate(sounddevice.query_devices())
        if found["max_input_channels"] > 0
    )


def choose(sounddevice: Any, name: str | None) -> Device:  # noqa: ANN401
    """The input device of that name, or the system's own choice.

    Args:
        sounddevice: the module.
        name: the whole name or a part of it, in any case; None for the default.

    Raises:
        MicrophoneError: there is none, or several are meant; lists the names.
    """
    found = devices(sounddevice)
    if not found:
        raise MicrophoneError(
            "no microphone is connected: plug one in, or go on without: --keys or --script"
        )
    listed = ", ".join(f'"{device.name}"' for device in found)
    if name is None:
        default = sounddevice.default.device[0]
        chosen = [device for device in found if device.index == default]
        if not chosen:
            raise MicrophoneError(f"the system has no default microphone: name one of {listed}")
        return chosen[0]
    wanted = name.casefold()
    chosen = [device for device in found if device.name.casefold() == wanted] or [
        device for device in found if wanted in device.name.casefold()
    ]
    if not chosen:
        raise MicrophoneError(f'no microphone is called "{name}": name one of {listed}')
    if len(chosen) > 1:
        several = ", ".join(f'"{device.name}"' for device in chosen)
        raise MicrophoneError(f'"{name}" may mean {several}: name one of them in full')
    return chosen[0]


class Microphone:
    """An open microphone, to be used in a ``with`` block.

    Attributes:
        device: the one that is open.
        overflows: how often the system lost sound because nobody fetched it.

    Args:
        name: whole or part of the device's name; None for the system's default.
        sounddevice: the module, or one that behaves like it.
        clock: monotonic seconds.
        watchdog_s: seconds without sound after which the microphone is lost.

    Raises:
        MicrophoneError: the device cannot be found or opened.
    """

    def __init__(
        self,
        name: str | None = None,
        sounddevice: Any = None,  # noqa: ANN401
        clock: Callable[[], float] = time.monotonic,
        watchdog_s: float = WATCHDOG_S,
    ) -> None:
        library_used = sounddevice if sounddevice is not None else library()
        self.device = choose(library_used, name)
        self.overflows = 0
        self._clock = clock
        self._watchdog_s = watchdog_s
        self._queue: queue.Queue[tuple[float, npt.NDArray[np.float32]]] = queue.Queue(_QUEUED)
        # Samples at the device's rate.  Two threads count, each its own number.
        self._refused = 0  # pushed out of the full queue, ever
        self._told = 0  # of those, told to the reader
        self._restart()
        try:
            # The device's own rate: another one may open and then send silence.
            self._stream = library_used.InputStream(
                device=self.device.index,
                channels=1,
                samplerate=self.device.rate_hz,
                blocksize=round(self.device.rate_hz * FRAME_S),
                dtype="float32",
                callback=self._take,
            )
            self._stream.start()
        except library_used.PortAudioError as error:
            raise MicrophoneError(
                f'the microphone "{self.device.name}" cannot be opened ({error}): see whether '
                "another program uses it and whether this one may"
            ) from None

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Let the device go; a second time does nothing."""
        self._stream.close()

    def read(self) -> Chunk:
        """The next sound, at most 3 s old; waits for it.

        Raises:
            MicrophoneLostError: nothing came for ``watchdog_s``.
        """
        stale = 0
        while True:
            try:
                taken_s, sound = self._queue.get(timeout=self._watchdog_s)
            except queue.Empty:
                raise MicrophoneLostError(
                    f'the microphone "{self.device.name}" has sent nothing for '
                    f"{self._watchdog_s:g} s: check its plug or its battery"
                ) from None
            if self._clock() - taken_s <= STALE_S:
                break
            stale += len(sound)
        refused = self._refused
        lost_s = (stale + refused - self._told) / self.device.rate_hz
        self._told = refused
        if lost_s:
            self._restart()
        return Chunk(self._resampled(sound), lost_s)

    def flush(self) -> None:
        """Forget what has come in and was not read: it was said while nobody listened."""
        while True:
            try:
                self._queue.get_nowait()
            except queue.Empty:
                break
        self._restart()

    def _restart(self) -> None:
        """A resampler without memory: sound on both sides of a gap must not mix."""
        if self.device.rate_hz == SAMPLE_RATE:
            self._resampler = None
            return
        import soxr  # noqa: PLC0415  (only devices of another rate need it)

        self._resampler = soxr.ResampleStream(
            self.device.rate_hz, SAMPLE_RATE, num_channels=1, dtype="float32"
        )

    def _resampled(self, sound: npt.NDArray[np.float32]) -> npt.NDArray[np.float32]:
        if self._resampler is None:
            return sound
        return np.asarray(self._resampler.resample_chunk(sound), dtype=np.float32)

    def _take(
        self, sound: npt.NDArray[np.float32], _frames: int, _time: object, status: _Status
    ) -> None:
        """Called by the sound library's own thread, which may never wait."""
        if status.input_overflow:
            self.overflows += 1
        taken = (self._clock(), sound[:, 0].copy())
        try:
            self._queue.put_nowait(taken)
        except queue.Full:
            with contextlib.suppress(queue.Empty):
                self._refused += len(self._queue.get_nowait()[1])
            self._queue.put_nowait(taken)
