"""Sound as every recognizer wants it: 16 kHz mono, cut into frames of 512 samples."""

from __future__ import annotations

import struct
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, BinaryIO, Final

import numpy as np

from assistant.hearing.recognizer import SAMPLE_RATE

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    import numpy.typing as npt

FRAME_SAMPLES: Final = 512
"""Samples in a frame: what the voice activity model takes at 16 kHz."""

FRAME_S: Final = FRAME_SAMPLES / SAMPLE_RATE
"""Seconds in a frame, 0.032."""

LOWEST_RATE_HZ: Final = 8_000
HIGHEST_RATE_HZ: Final = 192_000
_CONTAINERS: Final = frozenset({"WAV", "WAVEX", "RF64", "FLAC"})
_REMEDY: Final = "record it again, or convert it: ffmpeg -i IN -ar 16000 -ac 1 OUT.wav"
# A WAV written to a pipe cannot know its length; writers then put one of these.
_UNKNOWN_SIZES: Final = frozenset({0, 0x7FFFFFFF, 0x80000000, 0xFFFFFFFF})


class AudioError(Exception):
    """A sound file cannot be used; the message says what, where and the remedy."""


@dataclass(frozen=True, slots=True)
class Audio:
    """A sound file, ready to be heard.

    Attributes:
        samples: float32, shape (n,), 16 kHz mono, full scale 1.0.
        rate_hz: the file's own sample rate, Hz.
        channels: how many channels the file has.
        channel: which of them was taken, counted from 1.
        warning: one sentence about what will make it hard to hear; "" where
            there is nothing to say.
    """

    samples: npt.NDArray[np.float32]
    rate_hz: int = SAMPLE_RATE
    channels: int = 1
    channel: int = 1
    warning: str = ""

    @property
    def duration_s(self) -> float:
        """Length, seconds."""
        return len(self.samples) / SAMPLE_RATE


class Framer:
    """Cuts chunks of any size into frames; the chunk size never shows in the frames."""

    def __init__(self) -> None:
        self._rest = np.zeros(0, dtype=np.float32)

    def push(self, chunk: npt.NDArray[np.float32]) -> Iterator[npt.NDArray[np.float32]]:
        """The frames that this chunk completes: float32, shape (512,) each.

        Args:
            chunk: float32, shape (n,), 16 kHz mono; n may be 0.
        """
        gathered = np.concatenate([self._rest, chunk])
        whole = len(gathered) - len(gathered) % FRAME_SAMPLES
        self._rest = gathered[whole:]
        return iter(gathered[:whole].reshape(-1, FRAME_SAMPLES))

    def flush(self) -> npt.NDArray[np.float32] | None:
        """The last, unfinished frame, filled up with silence; None where there is none."""
        if not len(self._rest):
            return None
        last = np.zeros(FRAME_SAMPLES, dtype=np.float32)
        last[: len(self._rest)] = self._rest
        self._rest = self._rest[:0]
        return last


def frames(audio: Audio) -> Iterator[npt.NDArray[np.float32]]:
    """The frames of a whole file, the last one filled up with silence."""
    framer = Framer()
    yield from framer.push(audio.samples)
    last = framer.flush()
    if last is not None:
        yield last


def read(path: Path) -> Audio:
    """A WAV or FLAC file as 16 kHz mono sound.

    One to many channels and 8 to 192 kHz are taken; the format of the samples
    does not matter (8 to 32 bits, float, mu-law, A-law, EXTENSIBLE headers).

    Raises:
        AudioError: the file is missing, unreadable, no WAV or FLAC, empty,
            shorter than its header says, or holds values that are no numbers.
    """
    samples, rate_hz = _decode(path)
    if not len(samples):
        raise AudioError(f"{path}: holds no sound (0 samples); {_REMEDY}")
    if not np.isfinite(samples).all():
        at = int(np.argmin(np.isfinite(samples).all(axis=1)))
        raise AudioError(
            f"{path}: sample {at} ({at / rate_hz:.3f} s) is not a number; the file is damaged: "
            f"{_REMEDY}"
        )
    channel = _clearest(samples, rate_hz)
    mono = samples[:, channel]
    if rate_hz != SAMPLE_RATE:
        import soxr  # noqa: PLC0415  (heavy: only files of another rate need it)

        mono = soxr.resample(mono, rate_hz, SAMPLE_RATE)
    warning = ""
    if rate_hz < SAMPLE_RATE:
        warning = (
            f"{path}: recorded at {rate_hz} Hz, so nothing above {rate_hz // 2} Hz is in it and "
            f"words are easily misheard; record at {SAMPLE_RATE} Hz or more"
        )
    return Audio(
        samples=np.ascontiguousarray(mono, dtype=np.float32),
        rate_hz=rate_hz,
        channels=samples.shape[1],
        channel=channel + 1,
        warning=warning,
    )


def _decode(path: Path) -> tuple[npt.NDArray[np.float32], int]:
    """The file's samples, float32, shape (n, channels), and its rate in Hz."""
    import soundfile  # noqa: PLC0415  (heavy: only commands that read sound need it)

    if path.is_dir():
        raise AudioError(f"{path}: is a folder; name the WAV or FLAC files in it")
    try:
        with path.open("rb") as raw:
            if not raw.read(1):
                raise AudioError(f"{path}: is an empty file (0 bytes); {_REMEDY}")
            raw.seek(0)
            _refuse_truncated_wav(path, raw)
            raw.seek(0)
            with soundfile.SoundFile(raw) as sound:
                _refuse_format(path, sound.format, sound.samplerate)
                promised, rate_hz = sound.frames, sound.samplerate
                samples = _samples(path, sound)
    except FileNotFoundError:
        raise AudioError(f"{path}: there is no such file; check the path") from None
    except PermissionError:
        raise AudioError(f"{path}: may not be read; give yourself read permission") from None
    except soundfile.LibsndfileError as error:
        raise AudioError(
            f"{path}: is no WAV or FLAC sound that can be read "
            f"({error.error_string.rstrip('.')}); {_REMEDY}"
        ) from None
    except OSError as error:
        raise AudioError(f"{path}: cannot be read ({error.strerror or error})") from None
    if len(samples) < promised:
        raise AudioError(
            f"{path}: breaks off after {len(samples) / rate_hz:.3f} s of "
            f"{promised / rate_hz:.3f} s; copy it again, or {_REMEDY}"
        )
    return samples, rate_hz


def _samples(path: Path, sound: Any) -> npt.NDArray[np.float32]:  # noqa: ANN401  (no types)
    """All samples of an open file, float32, shape (n, channels)."""
    try:
        samples: npt.NDArray[np.float32] = sound.read(dtype="float32", always_2d=True)
    except RuntimeError as error:
        reason = str(error).strip().rstrip(".").removeprefix("Error : ")
        raise AudioError(
            f"{path}: is damaged or breaks off ({reason}); copy it again, or {_REMEDY}"
        ) from None
    return samples


def _refuse_format(path: Path, container: str, rate_hz: int) -> None:
    if container not in _CONTAINERS:
        raise AudioError(f"{path}: holds {container} sound, not WAV or FLAC; {_REMEDY}")
    if not LOWEST_RATE_HZ <= rate_hz <= HIGHEST_RATE_HZ:
        raise AudioError(
            f"{path}: has {rate_hz} Hz; {LOWEST_RATE_HZ} to {HIGHEST_RATE_HZ} Hz can be used: "
            f"{_REMEDY}"
        )


def _refuse_truncated_wav(path: Path, raw: BinaryIO) -> None:
    """Walk the RIFF chunks: libsndfile reads a truncated WAV without a word.

    Half a command may be another command, so a broken-off file is refused.
    """
    head = raw.read(12)
    if head[:4] != b"RIFF" or head[8:12] != b"WAVE":
        return
    end = raw.seek(0, 2)
    at = 12
    while at + 8 <= end:
        raw.seek(at)
        name, size = struct.unpack("<4sI", raw.read(8))
        if name == b"data":
            missing = at + 8 + size - end
            if size not in _UNKNOWN_SIZES and missing > 0:
                raise AudioError(
                    f"{path}: breaks off: {missing} of {size} bytes of sound are missing; "
                    f"copy it again, or {_REMEDY}"
                )
            return
        at += 8 + size + size % 2
    raise AudioError(f"{path}: the WAV header is there but no sound follows it; {_REMEDY}")


def _clearest(samples: npt.NDArray[np.float32], rate_hz: int) -> int:
    """The channel in which sound stands out most from its own background.

    One channel is taken and none are added: a sum cancels where one channel is
    inverted, loses 6 dB where only one side was spoken into, and combs where two
    microphones stand apart.  What stands out is the mean power less the power
    of the quietest fifth, over 32 ms blocks: a steady hum, however loud,
    has little of it, speech has much.
    """
    block = max(1, int(rate_hz * FRAME_S))
    count = len(samples) // block
    if samples.shape[1] == 1 or count == 0:
        return int(np.argmax(np.mean(np.square(samples, dtype=np.float64), axis=0)))
    blocks = samples[: count * block].reshape(count, block, -1)
    power = np.mean(np.square(blocks, dtype=np.float64), axis=1)
    return int(np.argmax(power.mean(axis=0) - np.percentile(power, 20, axis=0)))
