"""One decision's inputs, and the refusal that it may come to."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from assistant.session.event import CommandRefused, ConfirmationAsked, Event, PendingKind
from assistant.session.evolve import fold
from assistant.session.track import present, sayable

if TYPE_CHECKING:
    from datetime import datetime

    from assistant.procedure.model import Component, Procedure, Step
    from assistant.session.command import Command
    from assistant.session.refusal import Refusal
    from assistant.session.state import Progress, State


@dataclass(frozen=True, slots=True)
class Moment:
    """What a command is decided on."""

    procedure: Procedure
    state: State
    at: datetime
    command: Command

    @property
    def component(self) -> Component:
        """The component in hand."""
        return self.procedure.component(self.state.focus)

    @property
    def index(self) -> int:
        """The index of its present step; its track's length where that is finished."""
        return self.state.position.get(self.state.focus, 0)

    def present(self) -> Step | None:
        """Its present step; None where the track is finished."""
        return present(self.procedure, self.state, self.state.focus)

    def after(self, *events: Event) -> State:
        """The state once these events have happened too."""
        return fold(events, self.state)


@dataclass(frozen=True, slots=True)
class AtStep:
    """A decision about the present step, which was entered and is not behind us."""

    moment: Moment
    step: Step
    progress: Progress


def refuse(
    moment: Moment, reason: Refusal, about: str = "", working: tuple[str, ...] = ()
) -> tuple[Event, ...]:
    """The refusal, with what may be said instead."""
    may_say = tuple(str(verb) for verb in sayable(moment.procedure, moment.state))
    return (CommandRefused(moment.at, str(moment.command), reason, about, may_say, working),)


def ask(
    moment: Moment,
    kind: PendingKind,
    of: str = "",
    value: str | None = None,
    unit: str = "",
    *,
    step: str = "",
    raw: str = "",
) -> tuple[Event, ...]:
    """The read-back of a command, which waits for a yes or a no.

    Args:
        moment: what it is decided on.
        kind: what is asked.
        of: what it is about, as spoken.
        value: what was said; the command's own value where None.
        unit: of the value.
        step: id of the step that it belongs to.
        raw: the code that was scanned.
    """
    said = moment.command.value if value is None else value
    return (ConfirmationAsked(moment.at, kind, step, of, said, unit, raw),)
