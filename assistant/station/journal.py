"""One session under way: decide, commit, fold, derive, in that order and no other.

Commit first, speak after: effects are given out only for what is durable.  If
appending fails, the state does not move.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from assistant.record import codec
from assistant.session.decide import decide, open_session
from assistant.session.due import next_due
from assistant.session.effects import effects
from assistant.session.evolve import evolve, fold
from assistant.session.state import State

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import datetime

    from assistant.procedure.model import Procedure
    from assistant.record.store import Store
    from assistant.session.command import Input
    from assistant.session.effect import Effect
    from assistant.session.event import BathStood, Event, SessionOpened


@dataclass(slots=True)
class Journal:
    """A session and its place in the record.

    Attributes:
        procedure: what is led.
        store: the record, open for writing.
        session: the session's id.
        state: the fold of what was recorded.
        doubtful: whether the record may hold more than the state knows, after a
            failed append; the state is then folded anew before anything else.
    """

    procedure: Procedure
    store: Store
    session: str
    state: State
    doubtful: bool = False

    @classmethod
    def begin(
        cls,
        procedure: Procedure,
        store: Store,
        opened: SessionOpened,
        standing: Iterable[BathStood] = (),
    ) -> tuple[Journal, tuple[Effect, ...]]:
        """Open a session; the effects speak its first step.

        Args:
            procedure: what is led.
            store: the record, open for writing.
            opened: the first entry; it names the session.
            standing: baths of earlier sessions that may be taken over.

        Raises:
            RecordUnreachableError: nothing was begun.
            RecordDamagedError: likewise.
        """
        store.begin(opened.session)
        journal = cls(procedure, store, opened.session, State())
        return journal, journal._commit(open_session(procedure, opened, standing), opened.at)

    @property
    def closed(self) -> bool:
        """Whether nothing more can happen."""
        return self.state.closed

    def due(self) -> datetime | None:
        """The earliest moment at which the clock must be looked at; None if never."""
        return next_due(self.state)

    def take(self, what: Input, at: datetime) -> tuple[Effect, ...]:
        """Decide an input; what the station does is given out once it is recorded.

        Raises:
            RecordUnreachableError: nothing happened.
            RecordDamagedError: nothing happened.
        """
        if self.doubtful:
            # A disk that failed in the last step of a commit may hold it all the same.
            self.state = fold(codec.events(self.store.entries(self.session)))
            self.doubtful = False
        return self._commit(decide(self.procedure, self.state, what, at), at)

    def _commit(self, events: tuple[Event, ...], at: datetime) -> tuple[Effect, ...]:
        if not events:
            return ()
        self.doubtful = True
        self.store.append(self.session, [codec.body(event) for event in events], at)
        self.doubtful = False
        done: list[Effect] = []
        for event in events:
            before, self.state = self.state, evolve(self.state, event)
            done += effects(self.procedure, before, event, self.state)
        return tuple(done)
