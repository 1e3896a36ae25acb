"""The recognizer port: an utterance in, a hypothesis out, under one grammar."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

SAMPLE_RATE = 16_000  # Hz, mono: what every recognizer here is fed


@dataclass(frozen=True, slots=True)
class Utterance:
    """One stretch of speech cut out by the endpointing.

    Attributes:
        samples: float32, shape (n,), 16 kHz mono, full scale 1.0.
        start_s: where it begins on the audio's own clock, seconds.
        speech_end_s: where speech was last heard on that clock, seconds.
    """

    samples: npt.NDArray[np.float32]
    start_s: float = 0.0
    speech_end_s: float = 0.0


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """What a recognizer made of an utterance.

    Attributes:
        text: the grammar's own words of the best sentence; "" where there is none.
        tags: (JSGF tag, words under it), in the order spoken.
        score: evidence for the sentence, natural-log units, higher is better;
            0 is as good as unconstrained decoding.  Comparable only within one
            recognizer.
        accepted: whether it may act.
        runner_up: the best other sentence ("" where there is none).
        runner_up_score: its score, None where there is none.
        reason: why it was rejected, in plain words; "" where accepted.
        decode_ms: time spent, milliseconds.
    """

    text: str
    tags: tuple[tuple[str, str], ...]
    score: float
    accepted: bool
    runner_up: str = ""
    runner_up_score: float | None = None
    reason: str = ""
    decode_ms: float = 0.0


class Recognizer(Protocol):
    """Hears utterances under the grammar it was made with."""

    name: str
    model_sha256: str

    def hear(self, utterance: Utterance) -> Hypothesis:
        """The best sentence of the grammar, or a rejection; never raises on sound."""
        ...


class ModelMissingError(Exception):
    """A model cannot be read; the message says which, where and the remedy."""
