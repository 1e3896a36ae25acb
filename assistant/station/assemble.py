"""Putting a session together: procedure, pack, record, journal, course."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from assistant import __version__
from assistant.grammar import pack as packs
from assistant.grammar.interpret import Interpreter, interpreter
from assistant.procedure.choice import only
from assistant.record import codec
from assistant.record.store import SessionUnknownError
from assistant.session.command import Reopened
from assistant.session.event import SessionOpened, StepEntered
from assistant.session.evolve import fold
from assistant.station import opening
from assistant.station.course import Course
from assistant.station.journal import Journal
from assistant.station.sink import led_at, reread
from assistant.station.standing import standing_baths

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from assistant.grammar.pack import Pack
    from assistant.procedure.model import Procedure
    from assistant.record.store import Store
    from assistant.session.event import Event
    from assistant.station.account import Row
    from assistant.station.clock import Clock
    from assistant.station.opening import Sheet
    from assistant.station.sink import StationSheet


class StepsDifferError(Exception):
    """A recorded session was led by other steps; the message says which."""


@dataclass(frozen=True, slots=True)
class Plan:
    """What is to be done and what may be said about it, before anything is recorded.

    Attributes:
        sheet: the procedure with its exact text.
        procedure: the same, with the chosen components only, laid out at the station.
        pack: the session's language.
        interpreter: what may be said.
        received: the device's code or name that chose the procedure; "" for none.
        received_as: what that says.
        station: where it is done; None where no station is described.
    """

    sheet: Sheet
    procedure: Procedure
    pack: Pack
    interpreter: Interpreter
    received: str = ""
    received_as: str = ""
    station: StationSheet | None = None


@dataclass(frozen=True, slots=True)
class Means:
    """How a session hears and speaks, as its first entry names it.

    Attributes:
        mode: "real", "rehearsal" or "demo".
        operator: who works; "" for the login name.
        recognizer: its name; "none" where nothing is heard.
        model_sha256: of its model.
        voice: the voice's name.
    """

    mode: str
    operator: str
    recognizer: str
    model_sha256: str
    voice: str


def plan(
    name: str,
    language: str,
    components: Sequence[str],
    policy: str = "",
    station: StationSheet | None = None,
) -> Plan:
    """The plan for a procedure by name or path, a policy laid over it where one is named.

    Raises:
        ProcedureUnknownError, SheetError, ChoiceError, PackError, JsgfError
        StationImpossibleError: it cannot be done at the station.
    """
    over = opening.find_policy(policy) if policy else None
    return _planned(opening.read(opening.find(name), over), language, components, station)


def _planned(
    sheet: Sheet, language: str, components: Sequence[str], station: StationSheet | None
) -> Plan:
    pack = packs.load(language)
    procedure = only(sheet.procedure, components)
    if station is not None:
        procedure = led_at(procedure, station)
    return Plan(sheet, procedure, pack, interpreter(pack, [procedure]), station=station)


def begin(
    plan: Plan, store: Store, clock: Clock, show: Callable[[Row], None], means: Means
) -> Course[Journal]:
    """A new session under way, its first prompts queued.

    Raises:
        RecordUnreachableError, RecordDamagedError: nothing was begun.
    """
    at = clock.now()
    opened = opening.opened(
        plan.sheet,
        plan.procedure,
        plan.pack,
        plan.station,
        at,
        mode=means.mode,
        operator=means.operator,
        recognizer=means.recognizer,
        model_sha256=means.model_sha256,
        voice=means.voice,
        received=plan.received,
        received_as=plan.received_as,
    )
    standing = standing_baths(plan.procedure, store, at, means.mode, opened.station)
    journal, effects = Journal.begin(plan.procedure, store, opened, standing)
    course = Course(journal, plan.pack, clock, show)
    course.perform(effects)
    return course


def last_open(store: Store) -> str:
    """The id of the latest real session that was neither signed off nor abandoned.

    Raises:
        SessionUnknownError: there is none.
    """
    for summary in reversed(store.sessions()):
        events = codec.events(store.entries(summary.id))
        if not events or fold(events).closed:
            continue
        first = events[0]
        if isinstance(first, SessionOpened) and first.mode == "real":
            return summary.id
    raise SessionUnknownError(f"no open session in {store.path}; begin one with `sinkside run`")


def recorded_plan(session: str, store: Store) -> Plan:
    """The plan of a recorded session, by the procedure that its record holds.

    Raises:
        SessionUnknownError: it is not there, or closed.
        SheetError: this program no longer reads its procedure or its station.
        StationImpossibleError: this program no longer lays it out at its station.
        StepsDifferError: this program makes other steps of the same texts.
        RecordUnreachableError, RecordDamagedError, EntryUnreadableError
    """
    events = codec.events(store.entries(session))
    first = events[0] if events else None
    if not isinstance(first, SessionOpened) or fold(events).closed:
        raise SessionUnknownError(f"session {session} is closed; begin a new one")
    policy = first.policy_text
    whole = opening.reread(first.procedure_text, policy, f"session {session}")
    found = opening.Sheet(first.procedure, first.procedure_text, whole, policy)
    station = None
    if first.station_text:
        station = reread(first.station_text, f"session {session}, station")
    made = _planned(found, first.language, first.components, station)
    _compare(session, events, made.procedure)
    return made


def _compare(session: str, events: Iterable[Event], procedure: Procedure) -> None:
    """Whether the steps that were entered stand where they stood.

    Raises:
        StepsDifferError: one does not.
    """
    tracks = {part.id: [step.id for step in part.steps] for part in procedure.components}
    for event in events:
        if not isinstance(event, StepEntered):
            continue
        if tracks.get(event.component, [])[event.index : event.index + 1] != [event.step]:
            raise StepsDifferError(
                f'session {session} was at the step "{event.step}", which this program '
                f"({__version__}) does not make there; go on with the program that began it, or "
                "begin a new session"
            )


def resumed(
    session: str, plan: Plan, store: Store, clock: Clock, show: Callable[[Row], None]
) -> Course[Journal]:
    """A recorded session under way again, what has ended meanwhile queued first.

    Raises:
        SessionUnknownError, RecordUnreachableError, RecordDamagedError, EntryUnreadableError
    """
    state = fold(codec.events(store.entries(session)))
    course = Course(Journal(plan.procedure, store, session, state), plan.pack, clock, show)
    course.take(Reopened())
    return course
