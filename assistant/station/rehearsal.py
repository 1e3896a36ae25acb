"""A session on a virtual clock: the same core, voice, ear and record, no waiting."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from assistant.session.command import Source, TimeReached
from assistant.session.due import next_due
from assistant.station import script
from assistant.station.account import Kind, Row
from assistant.station.ear import Ear, scanned, typed

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable
    from datetime import datetime
    from pathlib import Path

    from assistant.grammar.interpret import Interpreter
    from assistant.speaking.voice import Voice
    from assistant.station.clock import VirtualClock
    from assistant.station.course import Course

# A technician answers after a breath, at about 150 words a minute.
_BREATH_S = 0.4
_WORD_S = 0.4


@dataclass(slots=True)
class Rehearsal:
    """Follows cues; between them it says everything that is to be said.

    Attributes:
        course: the session.
        clock: the same clock as the course's.
        interpreter: what words mean.
        voice: renders every line; its length is the time that saying it takes.
        listen: makes the ear for played sound when it is first needed.
    """

    course: Course
    clock: VirtualClock
    interpreter: Interpreter
    voice: Voice
    listen: Callable[[], Ear]
    _ear: Ear | None = None

    def follow(self, cues: Iterable[script.Cue]) -> None:
        """Follow the cues to the end of the script or of the session."""
        self.settle()
        for cue in cues:
            if self.course.journal.state.closed:
                return
            self._follow(cue)
            self.settle()

    def settle(self) -> None:
        """Say all that is queued; what falls due meanwhile is heard by the core in time."""
        while self.course.queue:
            spoken = self.course.queue.popleft()
            clip = self.voice.render(spoken.spoken)
            self._until(self.clock.now() + timedelta(seconds=clip.duration_s))
            self.course.said(spoken, to_the_end=True)

    def _follow(self, cue: script.Cue) -> None:
        match cue:
            case script.Say(words=words):
                self._say(words)
            case script.Play(path=path):
                self._play(path)
            case script.Wait(seconds=seconds):
                self._wait(seconds)
            case script.Scan(code=code):
                said_at = self._after(_BREATH_S)
                self.course.heard(scanned(self.course.journal, code, said_at))

    def _say(self, words: str) -> None:
        said_at = self._after(_BREATH_S)
        self._after(_WORD_S * len(words.split()))
        self.course.heard(typed(self.interpreter, words, said_at, Source.KEYS))

    def _play(self, path: Path) -> None:
        if self._ear is None:
            self._ear = self.listen()
        begin = self._after(_BREATH_S)
        for heard in self._ear.file(path):
            self._until(begin + timedelta(seconds=heard.decided_s))
            self.course.heard(heard.said(begin))

    def _wait(self, seconds: int) -> None:
        until = self.clock.now() + timedelta(seconds=seconds)
        self.course.show(Row(self.clock.now(), Kind.WAITED, f"{seconds} s"))
        while self.clock.now() < until:
            due = next_due(self.course.journal.state)
            self._until(until if due is None else min(due, until))
            self.settle()

    def _after(self, seconds: float) -> datetime:
        moment = self.clock.now() + timedelta(seconds=seconds)
        self._until(moment)
        return moment

    def _until(self, moment: datetime) -> None:
        """Let time pass, with what falls due on the way at its own moment."""
        due = next_due(self.course.journal.state)
        while due is not None and due <= moment:
            self.clock.move_to(due)
            self.course.take(TimeReached())
            due = next_due(self.course.journal.state)
        self.clock.move_to(moment)
