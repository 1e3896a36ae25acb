"""Reception: before any session, the device is scanned or named, and so its procedure chosen.

Nothing is recorded here, for there is no session yet; what was scanned or said is
handed to the session, which reads it back when the device is to be identified.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from assistant.grammar.interpret import interpreter
from assistant.printing.code import CodeError, is_ours, procedure_of
from assistant.procedure.quantity import duration_text
from assistant.session.command import Said, Verb
from assistant.session.due import next_due, time_events
from assistant.session.effect import Effect, Prompt, Say, SayAgain, Tone, ToneName, say
from assistant.session.effects import effects
from assistant.session.emergency import called, left_s
from assistant.session.evolve import evolve
from assistant.session.state import State
from assistant.trade.identity import IdentityError
from assistant.trade.scan import identify

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date, datetime

    from assistant.grammar.interpret import Interpreter
    from assistant.grammar.pack import Pack
    from assistant.session import event as ev
    from assistant.session.command import Command, Input
    from assistant.station.opening import Sheet

_LISTED_AFTER = 2  # utterances in a row that were not understood


@dataclass(frozen=True, slots=True)
class Received:
    """What the technician chose.

    Attributes:
        sheet: the procedure.
        code: the device's code as it was scanned, or its name; "" where a card was.
        told: what that says, for reading back; "" where a card was.
    """

    sheet: Sheet
    code: str = ""
    told: str = ""


def devices(pack: Pack, sheets: Iterable[Sheet]) -> Interpreter:
    """What may be said at the reception: the names of devices, not those of their parts."""
    return interpreter(pack, (replace(sheet.procedure, components=()) for sheet in sheets))


@dataclass(slots=True)
class Reception:
    """Takes inputs until a procedure is chosen or nobody wants one.

    Attributes:
        sheets: what can be chosen.
        received: what was chosen; None before, and where nothing was.
        closed: whether it is over.
    """

    sheets: Sequence[Sheet]
    received: Received | None = None
    closed: bool = False
    _state: State = field(default_factory=State)
    _misheard: int = 0

    def begin(self) -> tuple[Effect, ...]:
        """What is asked first."""
        return _say("reception")

    def due(self) -> datetime | None:
        """When the clock is to be looked at: somebody may be flushing their eyes."""
        return next_due(self._state)

    def take(self, what: Input, at: datetime) -> tuple[Effect, ...]:
        """What comes of an input."""
        passed = self._commit(time_events(self._state, at))
        return (*passed, *(self._heard(what, at) if isinstance(what, Said) else ()))

    def _heard(self, said: Said, at: datetime) -> tuple[Effect, ...]:
        if said.command is None or not said.accepted:
            self._misheard += 1
            return self._list() if self._misheard % _LISTED_AFTER == 0 else ()
        self._misheard = 0
        return self._obey(said.command, at)

    def _obey(self, command: Command, at: datetime) -> tuple[Effect, ...]:
        match command.verb:
            case Verb.EMERGENCY:
                return self._commit((called(command.value, at),))
            case Verb.RESUME | Verb.DENY if self._state.emergency is not None:
                return self._end_emergency(self._state.emergency, command.verb, at)
            case Verb.SCAN:
                return self._scanned(command.value, at.date())
            case Verb.DEVICE:
                return self._named(command.value, at.date())
            case Verb.REPEAT:
                return (SayAgain(),)
            case Verb.HELP:
                return self._list()
            case Verb.ABANDON:
                self.closed = True
                return _say("reception_left")
        return (Tone(ToneName.REFUSED), *_say("reception_first", "reception"))

    def _end_emergency(
        self, now: ev.EmergencyCalled, verb: Verb, at: datetime
    ) -> tuple[Effect, ...]:
        false_alarm = verb is Verb.DENY
        left = 0 if false_alarm else left_s(now, at)
        if left:
            return (Tone(ToneName.REFUSED), *say("flush_left", left=duration_text(left)))
        self._state = State()
        return _say("false_alarm" if false_alarm else "emergency_ended", "reception")

    def _scanned(self, code: str, today: date) -> tuple[Effect, ...]:
        if is_ours(code):
            return self._card(code, today)
        try:
            found = identify(code, today.year)
        except IdentityError as error:
            return self._refused("reception_unread", why=str(error))
        sheets = [sheet for sheet in self.sheets if found.key() in sheet.procedure.codes]
        if not sheets:
            return self._refused("reception_unknown", code=found.item or code)
        return self._among(sheets, today, code, found.read_back())

    def _card(self, code: str, today: date) -> tuple[Effect, ...]:
        try:
            card = procedure_of(code)
        except CodeError as error:
            return self._refused("reception_unread", why=str(error))
        sheets = [sheet for sheet in self.sheets if sheet.procedure.id == card.procedure]
        if not sheets:
            return self._refused("reception_unknown", code=card.procedure)
        best = _in_force(sheets, today)
        if best.procedure.revision != card.revision:
            revisions = {"old": card.revision, "new": best.procedure.revision}
            return self._refused("reception_old_card", **revisions)
        return self._choose(Received(best))

    def _named(self, procedure: str, today: date) -> tuple[Effect, ...]:
        """By its name; procedures that share it are told apart by a code only."""
        sheets = [sheet for sheet in self.sheets if sheet.procedure.id == procedure]
        title = sheets[0].procedure.title
        return self._among(sheets, today, title, title)

    def _among(
        self, sheets: Sequence[Sheet], today: date, code: str, told: str
    ) -> tuple[Effect, ...]:
        if len({sheet.procedure.id for sheet in sheets}) > 1:
            titles = {"names": ", ".join(sorted({sheet.procedure.title for sheet in sheets}))}
            return self._refused("reception_several", **titles)
        return self._choose(Received(_in_force(sheets, today), code, told))

    def _choose(self, received: Received) -> tuple[Effect, ...]:
        self.received, self.closed = received, True
        return (Tone(ToneName.HEARD),)

    def _list(self) -> tuple[Effect, ...]:
        titles = sorted({sheet.procedure.title for sheet in self.sheets})
        return say("reception_list", names=", ".join(titles))

    def _refused(self, key: str, **figures: str) -> tuple[Effect, ...]:
        return (Tone(ToneName.REFUSED), *say(key, **figures), *self._list())

    def _commit(self, events: Iterable[ev.Event]) -> tuple[Effect, ...]:
        done: list[Effect] = []
        for event in events:
            before, self._state = self._state, evolve(self._state, event)
            done += effects(self.sheets[0].procedure, before, event, self._state)
        return tuple(done)


def _in_force(sheets: Sequence[Sheet], today: date) -> Sheet:
    """Of several revisions the one that is approved today, the latest approved first."""

    def rank(sheet: Sheet) -> tuple[bool, str]:
        approval = sheet.procedure.approval
        if approval is None:
            return False, ""
        return approval.on <= today <= approval.until, approval.on.isoformat()

    return max(sheets, key=rank)


def _say(*keys: str) -> tuple[Effect, ...]:
    return (Say(tuple(Prompt(key) for key in keys)),)
