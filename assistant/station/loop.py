"""The live session: the only place that waits.

One thread owns the session.  Ears, keys, the mouth and the clock leave messages;
the loop takes them one at a time, so there is one order of events and it is the
record's.  A soak is a due time that the wait ends at, not a sleeping thread.
"""

from __future__ import annotations

import queue
from collections import deque
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from assistant.session.command import Said, TimeReached, Verb
from assistant.station.account import Kind, Row
from assistant.station.mouth import LineEnded
from assistant.station.script import Cue, Wait

if TYPE_CHECKING:
    from collections.abc import Iterator

    from assistant.speaking.line import Line
    from assistant.station.course import Course, Deciding
    from assistant.station.ear import Ear
    from assistant.station.mouth import Mouth

# While the tool speaks, and for the echo after it, only these words act.
STOP_WORDS = (Verb.HUSH, Verb.PAUSE, Verb.EMERGENCY)
TAIL_S = 0.4

# Lines whose times are kept: an utterance is understood seconds after it began.
_REMEMBERED = 32

# Waiting never longer than this keeps an interrupt from the keyboard prompt.
_LONGEST_WAIT_S = 0.5


@dataclass(frozen=True, slots=True)
class Trouble:
    """Something that the technician must be told, and that is no part of the session."""

    text: str


@dataclass(frozen=True, slots=True)
class Over:
    """A source of input has ended; with the last one the loop ends."""


@dataclass(frozen=True, slots=True)
class Typed:
    """A typed line; it is said when the loop takes it, not when it was typed ahead."""

    text: str


Message = Said | Typed | LineEnded | Trouble | Over


@dataclass(slots=True)
class Loop:
    """Takes messages until the session is closed or every source has ended.

    Attributes:
        course: the session.
        mouth: says its lines.
        ear: understands typed lines and the script's cues.
        inbox: where everybody leaves messages.
        sources: how many threads leave input in the inbox.
        early: messages that are taken before those of the inbox; and in the end those
            that came when it was over, for whoever goes on.
        cues: a script to follow, each cue once the tool has nothing more to say;
            None where there is none, or none any more.
    """

    course: Course[Deciding]
    mouth: Mouth
    ear: Ear
    inbox: queue.Queue[Message] = field(default_factory=queue.Queue)
    sources: int = 1
    cues: Iterator[Cue] | None = None
    early: deque[Message] = field(default_factory=deque)
    _not_before: datetime | None = None
    _saying: Line | None = None
    _spoken: deque[tuple[datetime, datetime | None]] = field(
        default_factory=lambda: deque(maxlen=_REMEMBERED)
    )

    def run(self) -> None:
        """Lead the session; returns when it is closed or nobody is left to speak."""
        self.course.cut = self.mouth.stop
        self.course.sound = self.mouth.sound
        late: list[Message] = []
        while not self._finished():
            self._speak()
            if self._idle() and self._follow():
                continue
            message = self._next()
            if message is None:
                self._clock()
            elif self.course.journal.closed and not isinstance(message, LineEnded):
                late.append(message)
            else:
                self._take(message)
        self.early.extend(late)

    def _next(self) -> Message | None:
        if self.early:
            return self.early.popleft()
        try:
            return self.inbox.get(timeout=self._wait_s())
        except queue.Empty:
            return None

    def _idle(self) -> bool:
        return self._quiet() and not self.early and self.inbox.empty()

    def _quiet(self) -> bool:
        return self._saying is None and not self.course.queue

    def _finished(self) -> bool:
        if self.course.journal.closed:
            return self._quiet()
        return self._idle() and self.sources == 0 and self.cues is None

    def _follow(self) -> bool:
        """Follow the next cue of the script; False where there is none to follow now."""
        now = self.course.clock.now()
        if self.cues is None or (self._not_before is not None and now < self._not_before):
            return False
        cue = next(self.cues, None)
        if cue is None:
            self.cues = None
        elif isinstance(cue, Wait):
            self._show(Kind.WAITED, f"{cue.seconds} s")
            self._not_before = now + timedelta(seconds=cue.seconds)
        else:
            for _, said in self.ear.follow(cue, now):
                self.course.heard(said)
        return True

    def _speak(self) -> None:
        """Begin the next line; lines that are over at once go by until one is not."""
        while self._saying is None and self.course.queue:
            line = self.course.queue.popleft()
            if self.mouth.speak(line):
                self.course.said(line, to_the_end=True)
            else:
                self._saying = line
                self._spoken.append((self.course.clock.now(), None))

    def _wait_s(self) -> float:
        due = self.course.journal.due()
        if due is None:
            return _LONGEST_WAIT_S
        left = (due - self.course.clock.now()).total_seconds()
        return min(max(left, 0.0), _LONGEST_WAIT_S)

    def _clock(self) -> None:
        due = self.course.journal.due()
        if due is not None and due <= self.course.clock.now():
            self.course.take(TimeReached())

    def _take(self, message: Message) -> None:
        self._clock()
        match message:
            case Said():
                self._said(message)
            case Typed(text=text):
                self.course.heard(self.ear.typed(text, self.course.clock.now()))
            case LineEnded():
                self._saying = None
                begun, _ = self._spoken.pop()
                self._spoken.append((begun, self.course.clock.now()))
                if message.fault:
                    self._fault(message.fault)
                self.course.said(message.line, to_the_end=message.to_the_end)
            case Trouble():
                self._fault(message.text)
            case Over():
                self.sources -= 1

    def _said(self, said: Said) -> None:
        """Take an utterance, unless the tool may have heard itself."""
        if said.source == "voice" and self._overheard(said):
            stops = said.accepted and said.command and said.command.verb in STOP_WORDS
            if not stops:
                self._show(Kind.MUTED, f'"{said.text}"')
                return
        self.course.heard(said)

    def _overheard(self, said: Said) -> bool:
        """Whether it began while the tool was speaking, or in the echo of that."""
        return any(
            begun <= said.said_at
            and (ended is None or (said.said_at - ended).total_seconds() < TAIL_S)
            for begun, ended in self._spoken
        )

    def _fault(self, text: str) -> None:
        self._show(Kind.FAULT, text)

    def _show(self, kind: Kind, text: str) -> None:
        self.course.show(Row(self.course.clock.now(), kind, text))
