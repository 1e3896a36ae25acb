"""The voice port: words in, a clip out; the espeak voice behind it, and a printed one.

Voices take words only, as ``wording.spoken`` makes them: an engine must never see a
sign that it would swallow, spell or obey.
"""

from __future__ import annotations

import tempfile
import threading
import wave
from collections import OrderedDict
from pathlib import Path
from typing import TYPE_CHECKING, Protocol, Self

import numpy as np

from assistant.speaking.clip import Clip
from assistant.speaking.engine import Engine, EngineError, VoiceName
from assistant.speaking.speech import SpeechDataError, load
from assistant.speaking.wording import STOPS

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    import numpy.typing as npt

# Words a minute: common practice for spoken instructions is about 150 to 160
# (from memory, no source at hand).
RATE = 155
SLOWEST, FASTEST = 80, 450  # words a minute: what the espeak library accepts
DEADLINE_S = 5.0
DEADLINE_SIGNS = 500
# A clip of n signs that is shorter than this many seconds times n lost words.
# Ordinary speech at 155 words a minute takes about 0.065 s a sign.
LEAST_S_A_SIGN = 0.03
TAIL_S = 0.1  # silence kept at the end of a clip, seconds
LEAST_PEAK = 0.02  # of full scale; speech peaks above 0.3
CACHED = 256  # clips; about 100 MB at the most

_REMEDY = "install the program again with its voice, or go on with printed prompts"


class VoiceError(Exception):
    """Words could not be turned into sound.

    Attributes:
        words: the words, so that they can be shown; "" where none were asked for.
    """

    def __init__(self, message: str, words: str = "") -> None:
        super().__init__(message)
        self.words = words


class Voice(Protocol):
    """Turns words into clips."""

    def render(self, words: str) -> Clip:
        """The clip that says these words.

        Raises:
            VoiceError: there is no such clip; the error keeps the words.
        """
        ...

    def prepare(self, texts: Iterable[str]) -> None:
        """Render ahead of time, so that ``render`` answers at once."""
        ...

    def close(self) -> None:
        """Give up what it holds; more than once does no harm."""
        ...


class EspeakVoice:
    """The espeak voice, rendered by pyttsx3 in a process of its own.

    Attributes:
        voice: id of the voice in use ("gmw/en-us").
        rate: words a minute.
        faults: why the engine was started anew, each time that it was.
    """

    def __init__(
        self,
        voice: str | None = None,
        *,
        rate: int = RATE,
        language: str = "en",
        deadline_s: float = DEADLINE_S,
    ) -> None:
        """Start the engine.

        Args:
            voice: id, name or language of a voice ("gmw/en-us", "en-us"), with
                "+variant" where wanted; None for the language's own.
            rate: words a minute, 80 to 450.
            language: BCP 47 tag; names the default voice.
            deadline_s: how long one rendering may take, seconds; longer in proportion
                for a text of more than 500 signs.

        Raises:
            VoiceError: the library is missing or broken, there is no such voice,
                or the rate is out of range.
        """
        if not SLOWEST <= rate <= FASTEST:
            raise VoiceError(
                f"the voice's rate is {rate} words a minute; choose {SLOWEST} to {FASTEST}"
            )
        try:
            wanted = voice or load(language).voice
        except SpeechDataError as error:
            raise VoiceError(str(error)) from error
        self.rate = rate
        self.faults: list[str] = []
        self._deadline_s = deadline_s
        self._cache: OrderedDict[tuple[str, str, int], Clip] = OrderedDict()
        self._turn = threading.Lock()
        self._folder = tempfile.TemporaryDirectory(prefix="sinkside-voice-")
        self._engine: Engine | None = None
        try:
            self.voice = resolve(wanted, self._running().voices, language)
            # Only a rendering shows that a voice speaks; better now than at a caution.
            self._render("ready")
        except EngineError as error:
            self.close()
            raise VoiceError(f"The voice cannot start: {error}; {_REMEDY}.") from error
        except VoiceError:
            self.close()
            raise

    def render(self, words: str) -> Clip:
        """The clip that says these words; from memory where it was rendered before.

        Raises:
            VoiceError: the words hold signs, or the engine failed twice.
        """
        _require_words(words)
        key = (words, self.voice, self.rate)
        with self._turn:
            if key not in self._cache:
                self._cache[key] = self._render(words)
                if len(self._cache) > CACHED:
                    self._cache.popitem(last=False)
            self._cache.move_to_end(key)
            return self._cache[key]

    def prepare(self, texts: Iterable[str]) -> None:
        """Render ahead of time, so that ``render`` answers at once."""
        for words in texts:
            self.render(words)

    def close(self) -> None:
        """End the engine's process and remove its folder; more than once does no harm."""
        if self._engine is not None:
            self._engine.close()
            self._engine = None
        self._folder.cleanup()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def _running(self) -> Engine:
        if self._engine is None:
            self._engine = Engine(Path(self._folder.name))
        return self._engine

    def _render(self, words: str) -> Clip:
        """One rendering, tried again once in a fresh process."""
        path = Path(self._folder.name) / "words.wav"
        deadline_s = self._deadline_s * max(1, len(words) / DEADLINE_SIGNS)
        for last_try in (False, True):
            path.unlink(missing_ok=True)
            try:
                self._running().render(words, self.voice, self.rate, path, deadline_s)
                return _read(path, words, self.rate)
            except EngineError as error:
                if self._engine is not None:
                    self._engine.kill()
                    self._engine = None
                self.faults.append(str(error))
                if last_try:
                    raise VoiceError(f"The voice failed: {error}; {_REMEDY}.", words) from error
        raise AssertionError("unreachable")


class PrintedVoice:
    """A voice for silent use: silence as long as the words would take to say."""

    _RATE_HZ = 8000

    def __init__(self, *, rate: int = RATE) -> None:
        self.rate = rate

    def render(self, words: str) -> Clip:
        """Silence of the estimated length, with the words.

        Raises:
            VoiceError: the words hold signs.
        """
        _require_words(words)
        count = round(len(words.split()) * 60 / self.rate * self._RATE_HZ)
        return Clip(np.zeros(count, np.float32), self._RATE_HZ, words)

    def prepare(self, texts: Iterable[str]) -> None:
        """Nothing: silence is ready."""

    def close(self) -> None:
        """Nothing: silence holds nothing."""


def resolve(wanted: str, voices: Sequence[VoiceName], language: str) -> str:
    """The engine's id of the voice that is meant.

    Raises:
        VoiceError: there is none; the message lists those of the language.
    """
    base, plus, variant = wanted.lower().partition("+")
    for voice in voices:
        if base in {voice.id, voice.id.rpartition("/")[2], voice.name.lower(), voice.language}:
            return f"{voice.id}{plus}{variant}"
    tongue = language.partition("-")[0]
    fitting = [voice.id for voice in voices if voice.language.partition("-")[0] == tongue]
    raise VoiceError(
        f'There is no voice "{wanted}"; for the language "{language}" there are: '
        f"{', '.join(fitting) or 'none'} ({len(voices)} voices in all)."
    )


def _require_words(words: str) -> None:
    for sign in words:
        if not (sign.isalpha() or sign in STOPS or sign in "' "):
            raise VoiceError(f'"{sign}" is no word; voices are given words only', words)
    if not any(map(str.isalpha, words)):
        raise VoiceError("there are no words to say", words)


def _read(path: Path, words: str, rate: int) -> Clip:
    """The clip in the engine's file, once it is plausible that it says the words.

    Raises:
        EngineError: it is missing, no WAV file, too short or silent.
    """
    try:
        with wave.open(str(path), "rb") as file:
            if (file.getnchannels(), file.getsampwidth()) != (1, 2):
                raise EngineError("its file is not 16-bit mono")
            hertz = file.getframerate()
            raw = file.readframes(file.getnframes())
    except (OSError, EOFError, wave.Error) as error:
        raise EngineError(f"it wrote no sound ({error})") from error
    finally:
        path.unlink(missing_ok=True)
    samples = np.frombuffer(raw, "<i2").astype(np.float32) / np.float32(32768)
    if np.abs(samples).max(initial=0) < LEAST_PEAK:
        raise EngineError("its sound is silence")
    clip = Clip(_trimmed(samples, hertz), hertz, words)
    if clip.seconds < LEAST_S_A_SIGN * len(words) * min(1, RATE / rate):
        raise EngineError(f"it said {len(words)} signs in {clip.seconds:.2f} s, so words are lost")
    return clip


def _trimmed(samples: npt.NDArray[np.float32], hertz: int) -> npt.NDArray[np.float32]:
    """The samples without most of the pure silence that the engine ends each text with.

    It lasts 0.37 s, and whoever answers a prompt would have to wait for its end.
    """
    sounding = np.flatnonzero(samples)
    end = int(sounding[-1]) + 1 if len(sounding) else 0
    return samples[: end + round(TAIL_S * hertz)]
