"""A stream of sound, heard: utterances with what the recognizer makes of them.

At a pause the recognizer is asked at once.  A sentence that is complete and can have
no more words ends the utterance there; one that could go on ("value one ...") waits
for the whole hangover.  So a command acts soon after its last sound, and two commands
0.3 s apart are two.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.hearing.segment import Segmenter

if TYPE_CHECKING:
    from collections.abc import Iterable

    import numpy as np
    import numpy.typing as npt

    from assistant.grammar.automaton import Automaton
    from assistant.hearing.endpoint import Limits
    from assistant.hearing.recognizer import Hypothesis, Recognizer, Utterance
    from assistant.hearing.segment import VoiceActivity

Heard = tuple["Utterance", "Hypothesis"]


class Stream:
    """Hears a stream chunk by chunk; any sizes of chunks give the same utterances.

    Args:
        recognizer: hears utterances.
        automaton: of the same grammar; tells whether a sentence could go on.
        limits: when speech counts as begun and as over.
        voice_activity: tells speech from noise; the Silero model where None.
    """

    def __init__(
        self,
        recognizer: Recognizer,
        automaton: Automaton,
        limits: Limits | None = None,
        voice_activity: VoiceActivity | None = None,
    ) -> None:
        self._recognizer = recognizer
        self._automaton = automaton
        self._segmenter = Segmenter(limits, voice_activity, settled=self._complete)
        self._early: Heard | None = None

    def push(self, chunk: npt.NDArray[np.float32]) -> list[Heard]:
        """What this chunk ends.

        Args:
            chunk: float32, shape (n,), 16 kHz mono; any n, 0 included.
        """
        return self._heard(self._segmenter.push(chunk))

    def flush(self) -> list[Heard]:
        """What is still open when the sound is over; the stream starts afresh."""
        return self._heard(self._segmenter.flush())

    def reset(self) -> None:
        """Forget everything heard; the clock starts at 0."""
        self._segmenter.reset()

    def _heard(self, utterances: Iterable[Utterance]) -> list[Heard]:
        return [(utterance, self._hear(utterance)) for utterance in utterances]

    def _hear(self, utterance: Utterance) -> Hypothesis:
        """What was made of it at the pause that ended it, or what is made of it now."""
        if self._early is not None and self._early[0] is utterance:
            return self._early[1]
        return self._recognizer.hear(utterance)

    def _complete(self, utterance: Utterance) -> bool:
        found = self._recognizer.hear(utterance)
        self._early = utterance, found
        return found.accepted and not self._automaton.can_continue(found.text.split())
