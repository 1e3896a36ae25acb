"""From sound, typed words and scans to what was said."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from assistant.hearing.recognizer import SAMPLE_RATE
from assistant.session.command import Command, Said, Source, Verb
from assistant.station import script

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import datetime

    from assistant.grammar.interpret import Interpreter
    from assistant.hearing.frames import Audio
    from assistant.hearing.recognizer import Hypothesis, Recognizer
    from assistant.hearing.stream import Heard, Stream
    from assistant.speaking.voice import Voice

# A technician answers after a breath, at about 150 words a minute.
BREATH_S = 0.4
WORD_S = 0.4


# Codes have no spaces but printed ones between their elements, and at least one digit;
# keyboard-wedge scanners type them as a person would.
_CODE = re.compile(r"[\]+(]?[!-~\x1d ]*[0-9][!-~\x1d ]*")
_WORDS = re.compile(r"[a-z]{2,}( [a-z]{2,})+")


def looks_like_code(text: str) -> bool:
    """Whether a typed line is a printed code rather than words."""
    return _CODE.fullmatch(text) is not None and _WORDS.search(text.lower()) is None


@dataclass(frozen=True, slots=True)
class Ear:
    """What may be said, and a recognizer that hears it said.

    Attributes:
        interpreter: what words mean.
        recognizer: hears sound; None where none is to be heard.
        speaker: says a script's words aloud, so that the recognizer hears them and
            only what it hears acts; None where they are taken as typed.
    """

    interpreter: Interpreter
    recognizer: Recognizer | None = None
    speaker: Voice | None = None

    def stream(self) -> Stream:
        """A stream of sound for this ear.

        Raises:
            ScriptError: there is no recognizer.
        """
        from assistant.hearing.stream import Stream  # noqa: PLC0415 - only for sound

        if self.recognizer is None:
            raise script.ScriptError("sound cannot be heard: this session has no recognizer")
        return Stream(self.recognizer, self.interpreter.automaton)

    def said(self, heard: Heard, begin: datetime) -> Said:
        """What was heard, as it is said to the session.

        Args:
            heard: an utterance of a stream and what was made of it.
            begin: when the stream began.
        """
        utterance, hypothesis = heard
        said_at = begin + timedelta(seconds=utterance.start_s)
        return _said(hypothesis, self.meaning(hypothesis), said_at)

    def meaning(self, hypothesis: Hypothesis) -> Command | None:
        """The command of an accepted hypothesis."""
        return self.interpreter.command(hypothesis.tags) if hypothesis.accepted else None

    def typed(self, words: str, said_at: datetime) -> Said:
        """Typed words, as if heard; a code, as if scanned."""
        parse = self.interpreter.typed(words)
        if parse is None and looks_like_code(words):
            return scanned(words, said_at)
        if parse is None:
            reason = "these words are not in the grammar"
            return Said(None, words, said_at, Source.KEYS, accepted=False, reason=reason)
        command = self.interpreter.command(parse.tags)
        return Said(command, parse.text, said_at, Source.KEYS)

    def follow(
        self, cue: script.Say | script.Play | script.Scan, at: datetime
    ) -> Iterator[tuple[float, Said]]:
        """What a cue says, each with the seconds from ``at`` until it is understood.

        Raises:
            AudioError: a played file cannot be read.
            ScriptError: sound is to be heard and there is no recognizer.
            VoiceError: the speaker cannot say the words.
        """
        said_at = at + timedelta(seconds=BREATH_S)
        match cue:
            case script.Say(words=words) if self.speaker is not None:
                from assistant.station.aloud import aloud  # noqa: PLC0415 - only for sound

                yield from self._heard(aloud(self.speaker, words), said_at)
            case script.Say(words=words):
                spoken_s = BREATH_S + WORD_S * len(words.split())
                yield spoken_s, self.typed(words, said_at)
            case script.Scan(code=code):
                yield BREATH_S, scanned(code, said_at)
            case script.Play(path=path):
                from assistant.hearing.frames import read  # noqa: PLC0415 - only for sound

                yield from self._heard(read(path), said_at)

    def _heard(self, audio: Audio, begin: datetime) -> Iterator[tuple[float, Said]]:
        stream = self.stream()
        for heard in (*stream.push(audio.samples), *stream.flush()):
            utterance, _ = heard
            end_s = utterance.start_s + len(utterance.samples) / SAMPLE_RATE
            yield BREATH_S + end_s, self.said(heard, begin)


def _said(hypothesis: Hypothesis, command: Command | None, said_at: datetime) -> Said:
    return Said(
        command,
        hypothesis.text,
        said_at,
        Source.VOICE,
        hypothesis.accepted,
        hypothesis.score,
        hypothesis.runner_up,
        hypothesis.runner_up_score,
        hypothesis.reason,
    )


def scanned(code: str, said_at: datetime) -> Said:
    """A scanned code; what it means here is the core's to say."""
    return Said(Command(Verb.SCAN, code), code, said_at, Source.SCAN)
