"""Where an utterance begins and ends: arithmetic on speech probability and duration.

No sound and no clock come in here.  Each call tells how probable speech was
during one stretch of time; the state that comes back says where we are.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum


@dataclass(frozen=True, slots=True)
class Limits:
    """When speech counts as begun and as over.

    The two probabilities make a hysteresis: speech must be clear to begin, and
    need only be likely to go on.

    Attributes:
        on: probability, 0 to 1; at or above it speech begins.
        off: probability, 0 to 1, at most ``on``; below it there is silence.
        least_speech_s: seconds of speech without which a sound is a click, not
            a command.
        pause_s: seconds of silence after which the utterance *may* be over: the
            moment to ask whether its words are complete.
        hangover_s: seconds of silence after which the utterance is over.
            Shorten it where the grammar is complete, lengthen it where the
            words could go on.
        pre_roll_s: seconds kept from before the beginning: the weak first
            consonant that the probability is too slow for.
        tail_s: seconds kept after the last speech, silence included.
        most_s: seconds of the longest utterance, pre-roll included; steady
            noise taken for speech is cut here.
    """

    on: float = 0.5
    off: float = 0.35
    least_speech_s: float = 0.09
    pause_s: float = 0.24
    hangover_s: float = 0.64
    pre_roll_s: float = 0.3
    tail_s: float = 0.3
    most_s: float = 8.0

    def __post_init__(self) -> None:
        """Refuse limits that could never begin or never end an utterance."""
        if not 0.0 < self.off <= self.on <= 1.0:
            raise ValueError(f"wanted 0 < off <= on <= 1, got off {self.off} and on {self.on}")
        if min(self.least_speech_s, self.pre_roll_s, self.tail_s, self.pause_s) < 0.0:
            raise ValueError("no duration may be negative")
        if not 0.0 < self.hangover_s < self.most_s:
            raise ValueError(
                f"wanted 0 < hangover_s < most_s, got {self.hangover_s} and {self.most_s}"
            )


class Boundary(StrEnum):
    """What has just become known about an utterance."""

    BEGAN = "began"
    PAUSED = "paused"
    ENDED = "ended"
    CUT = "cut"


@dataclass(frozen=True, slots=True)
class Event:
    """A boundary of an utterance.

    Attributes:
        boundary: which one.
        start_s: seconds; where the utterance begins, pre-roll included.
        speech_end_s: seconds; where speech was last heard.
    """

    boundary: Boundary
    start_s: float
    speech_end_s: float


@dataclass(frozen=True, slots=True)
class State:
    """How far the listening has come.

    Attributes:
        at_s: seconds heard so far.
        start_s: seconds; where the open utterance begins, None between utterances.
        speech_s: seconds of speech in the open utterance.
        speech_end_s: seconds; end of the last speech, of this or an earlier utterance.
        paused: whether this silence was already announced as a pause.
    """

    at_s: float = 0.0
    start_s: float | None = None
    speech_s: float = 0.0
    speech_end_s: float = 0.0
    paused: bool = False


def advance(
    state: State, probability: float, duration_s: float, limits: Limits
) -> tuple[State, Event | None]:
    """The state after one more stretch of sound, and the boundary it revealed.

    Args:
        state: the state so far.
        probability: of speech in this stretch, 0 to 1.
        duration_s: seconds, more than 0.
        limits: may differ from call to call.
    """
    at_s = state.at_s + duration_s
    if state.start_s is None:
        if probability < limits.on:
            return replace(state, at_s=at_s), None
        # Speech before this point belongs to the utterance before.
        start_s = max(state.at_s - limits.pre_roll_s, state.speech_end_s, 0.0)
        state = replace(state, start_s=start_s, speech_s=0.0)
    if probability >= limits.off:
        return _speech(state, at_s, duration_s, limits)
    return _silence(replace(state, at_s=at_s), limits)


def finish(state: State, limits: Limits) -> tuple[State, Event | None]:
    """The state after the last sound; an open utterance ends here."""
    if state.start_s is None:
        return state, None
    return _close(state, Boundary.ENDED, limits)


def _speech(
    state: State, at_s: float, duration_s: float, limits: Limits
) -> tuple[State, Event | None]:
    before_s = state.speech_s
    state = replace(
        state, at_s=at_s, speech_s=before_s + duration_s, speech_end_s=at_s, paused=False
    )
    if _too_long(state, limits):
        return _close(state, Boundary.CUT, limits)
    if before_s < limits.least_speech_s <= state.speech_s:
        return state, _event(state, Boundary.BEGAN)
    return state, None


def _silence(state: State, limits: Limits) -> tuple[State, Event | None]:
    # Sums of durations carry rounding; a nanosecond decides nothing.
    silent_s = state.at_s - state.speech_end_s + 1e-9
    if silent_s >= limits.hangover_s:
        return _close(state, Boundary.ENDED, limits)
    if _too_long(state, limits):
        return _close(state, Boundary.CUT, limits)
    if silent_s >= limits.pause_s and not state.paused and _is_speech(state, limits):
        return replace(state, paused=True), _event(state, Boundary.PAUSED)
    return state, None


def _close(state: State, boundary: Boundary, limits: Limits) -> tuple[State, Event | None]:
    closed = replace(state, start_s=None, speech_s=0.0, paused=False)
    return closed, _event(state, boundary) if _is_speech(state, limits) else None


def _is_speech(state: State, limits: Limits) -> bool:
    return state.speech_s >= limits.least_speech_s


def _too_long(state: State, limits: Limits) -> bool:
    return state.start_s is not None and state.at_s - state.start_s + 1e-9 >= limits.most_s


def _event(state: State, boundary: Boundary) -> Event:
    return Event(boundary, state.start_s or 0.0, state.speech_end_s)
