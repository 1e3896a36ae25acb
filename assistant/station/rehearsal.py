"""A session on a virtual clock: the same core, voice, ear and record, no waiting."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from assistant.session.command import TimeReached
from assistant.station import script
from assistant.station.account import Kind, Row

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import datetime

    from assistant.speaking.voice import Voice
    from assistant.station.clock import VirtualClock
    from assistant.station.course import Course, Deciding
    from assistant.station.ear import Ear


@dataclass(frozen=True, slots=True)
class Rehearsal:
    """Follows cues; between them it says everything that is to be said.

    Attributes:
        course: the session.
        clock: the same clock as the course's.
        voice: renders every line; its length is the time that saying it takes.
        ear: understands typed words, and sound where it has a recognizer.
    """

    course: Course[Deciding]
    clock: VirtualClock
    voice: Voice
    ear: Ear

    def follow(self, cues: Iterable[script.Cue]) -> None:
        """Follow the cues to the end of the script or of the session."""
        self.settle()
        for cue in cues:
            if isinstance(cue, script.Wait):
                self._wait(cue.seconds)
            else:
                begin = self.clock.now()
                for seconds, said in self.ear.follow(cue, begin):
                    self._until(begin + timedelta(seconds=seconds))
                    self.course.heard(said)
            self.settle()
            if self.course.journal.closed:
                return

    def settle(self) -> None:
        """Say all that is queued; what falls due meanwhile is heard by the core in time."""
        while self.course.queue:
            spoken = self.course.queue.popleft()
            clip = self.voice.render(spoken.spoken)
            self._until(self.clock.now() + timedelta(seconds=clip.seconds))
            self.course.said(spoken, to_the_end=True)

    def _wait(self, seconds: int) -> None:
        until = self.clock.now() + timedelta(seconds=seconds)
        self.course.show(Row(self.clock.now(), Kind.WAITED, f"{seconds} s"))
        while self.clock.now() < until:
            due = self.course.journal.due()
            self._until(until if due is None else min(due, until))
            self.settle()

    def _until(self, moment: datetime) -> None:
        """Let time pass, with what falls due on the way at its own moment."""
        due = self.course.journal.due()
        while due is not None and due <= moment:
            self.clock.move_to(due)
            self.course.take(TimeReached())
            due = self.course.journal.due()
        self.clock.move_to(moment)
