"""A session or a reception under way at the station: inputs are taken, lines to say come out.

Shared by the live loop and the rehearsal, which differ only in how they wait.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Generic, Protocol, TypeVar

from assistant.record.fault import RecordUnreachableError
from assistant.session.command import PromptEnded
from assistant.session.effect import Effect, Explain, Hush, Prompt, Say, SayAgain, Tone
from assistant.speaking.line import Line, line
from assistant.station.account import Kind, Row

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from assistant.grammar.pack import Pack
    from assistant.session.command import Input, Said
    from assistant.session.effect import ToneName
    from assistant.station.clock import Clock


class Deciding(Protocol):
    """What an input is put to: the journal of a session, or the reception before it."""

    @property
    def closed(self) -> bool:
        """Whether nothing more can happen."""
        ...

    def due(self) -> datetime | None:
        """The earliest moment at which the clock must be looked at; None if never."""
        ...

    def take(self, what: Input, at: datetime) -> tuple[Effect, ...]:
        """What comes of an input.

        Raises:
            RecordUnreachableError: nothing happened.
        """
        ...


D_co = TypeVar("D_co", bound=Deciding, covariant=True)


@dataclass(slots=True)
class Course(Generic[D_co]):
    """What is to be said next, and what was said last.

    Attributes:
        journal: decides.
        pack: its language.
        clock: the station's clock.
        show: takes each row of the account.
        sound: sounds a tone.
        cut: falls silent at once; called before queued lines are given up.
        queue: lines still to be said, in order.
        last: the lines of the latest announcement, for "say again".
    """

    journal: D_co
    pack: Pack
    clock: Clock
    show: Callable[[Row], None]
    sound: Callable[[ToneName], None] = lambda _name: None
    cut: Callable[[], None] = lambda: None
    queue: deque[Line] = field(default_factory=deque)
    last: tuple[Line, ...] = ()

    def take(self, what: Input) -> None:
        """Decide an input and queue what comes of it; if it cannot be recorded, say so."""
        try:
            effects = self.journal.take(what, self.clock.now())
        except RecordUnreachableError as error:
            self._show(Kind.FAULT, str(error))
            self.queue.append(line(self.pack, Prompt("record_failed")))
            return
        self.perform(effects)

    def heard(self, said: Said) -> None:
        """Take an utterance, with its row in the account."""
        text = f'"{said.text}"' if said.text else "(no words of the grammar)"
        if said.accepted:
            meaning = "" if said.command is None else f"= {said.command}"
            self._show(Kind.HEARD, text, meaning)
        else:
            self._show(Kind.REJECTED, text, said.reason)
        self.take(said)

    def said(self, spoken: Line, *, to_the_end: bool) -> None:
        """Take the end of a line; the notice of a failed record is no part of the session."""
        self._show(Kind.SAID if to_the_end else Kind.CUT_OFF, spoken.shown)
        prompt = spoken.prompt
        if prompt.id:
            self.take(PromptEnded(prompt.id, spoken.shown, to_the_end, prompt.step, prompt.caution))

    def perform(self, effects: tuple[Effect, ...]) -> None:
        """Queue the lines and sound the tones that the effects ask for."""
        said: tuple[Line, ...] = ()
        for effect in effects:
            match effect:
                case Say():
                    said += tuple(line(self.pack, prompt) for prompt in effect.prompts)
                case SayAgain():
                    self.queue.extend(self.last)
                case Hush():
                    self.hush()
                case Explain():
                    for text in effect.lines:
                        self._show(Kind.WORKED, text)
                case Tone():
                    self._show(Kind.TONE, effect.name)
                    self.sound(effect.name)
        if said:
            self.queue.extend(said)
            self.last = said

    def hush(self) -> None:
        """Fall silent; what was queued counts as not heard."""
        self.cut()
        given_up = tuple(self.queue)
        self.queue.clear()
        for spoken in given_up:
            self.said(spoken, to_the_end=False)

    def _show(self, kind: Kind, text: str, detail: str = "") -> None:
        self.show(Row(self.clock.now(), kind, text, detail))
