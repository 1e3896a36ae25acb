"""From utterances, typed words and scans to what was said."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from assistant.hearing.frames import read
from assistant.hearing.recognizer import SAMPLE_RATE
from assistant.hearing.segment import utterances
from assistant.procedure.model import LotTask
from assistant.session.command import Command, Said, Source, Verb
from assistant.session.track import present

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import datetime
    from pathlib import Path

    from assistant.grammar.interpret import Interpreter
    from assistant.hearing.recognizer import Hypothesis, Recognizer, Utterance
    from assistant.station.journal import Journal


@dataclass(frozen=True, slots=True)
class HeardUtterance:
    """An utterance with its hypothesis.

    Attributes:
        utterance: the sound.
        hypothesis: what the recognizer made of it.
        command: what that means; None where it was rejected or means nothing.
    """

    utterance: Utterance
    hypothesis: Hypothesis
    command: Command | None

    @property
    def decided_s(self) -> float:
        """When it was understood, on the audio's own clock, seconds."""
        begun_s = self.utterance.start_s
        return (
            begun_s + len(self.utterance.samples) / SAMPLE_RATE + self.hypothesis.decode_ms / 1000
        )

    def said(self, begin: datetime) -> Said:
        """The input; ``begin`` is when the audio's own clock began."""
        hypothesis = self.hypothesis
        return Said(
            self.command,
            hypothesis.text,
            begin + timedelta(seconds=self.utterance.start_s),
            Source.VOICE,
            hypothesis.accepted,
            hypothesis.score,
            hypothesis.runner_up,
            hypothesis.runner_up_score,
            hypothesis.reason,
        )


@dataclass(frozen=True, slots=True)
class Ear:
    """A recognizer with the meaning of its sentences."""

    recognizer: Recognizer
    interpreter: Interpreter

    def hear(self, utterance: Utterance) -> HeardUtterance:
        """The utterance, understood or rejected."""
        hypothesis = self.recognizer.hear(utterance)
        command = self.interpreter.command(hypothesis.tags) if hypothesis.accepted else None
        return HeardUtterance(utterance, hypothesis, command)

    def file(self, path: Path) -> Iterator[HeardUtterance]:
        """Every utterance of a sound file, in order.

        Raises:
            AudioError: the file cannot be read.
        """
        for utterance in utterances(read(path)):
            yield self.hear(utterance)


def typed(interpreter: Interpreter, words: str, said_at: datetime, source: Source) -> Said:
    """Typed words, as if heard."""
    parse = interpreter.typed(words)
    if parse is None:
        reason = "these words are not in the grammar"
        return Said(None, words, said_at, source, accepted=False, reason=reason)
    return Said(interpreter.command(parse.tags), parse.text, said_at, source)


def scanned(journal: Journal, code: str, said_at: datetime) -> Said:
    """A scanned code: a lot, where one is asked for."""
    step = present(journal.procedure, journal.state, journal.state.focus)
    if step is not None and isinstance(step.task, LotTask):
        return Said(Command(Verb.LOT, code.upper()), code, said_at, Source.SCAN)
    return Said(
        None, code, said_at, Source.SCAN, accepted=False, reason="no code is asked for here"
    )
