"""The decision: procedure, state, input and moment in, events out.  Pure.

The clock is heard first: what is due at or before the moment happens before
the input, so a soak that ends at the very instant of "next" has ended.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.session import closing, emergency, moves, values
from assistant.session import event as ev
from assistant.session.command import (
    Command,
    Input,
    PromptEnded,
    Reopened,
    Said,
    TimeReached,
    Verb,
)
from assistant.session.due import time_events
from assistant.session.evolve import fold
from assistant.session.moment import AtStep, Moment, refuse
from assistant.session.refusal import Refusal
from assistant.session.table import Phase, next_phase
from assistant.session.track import blockers

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from assistant.procedure.model import Procedure
    from assistant.session.state import State

_Events = tuple[ev.Event, ...]

# Commands about the present step: refused where there is none.
_AT_STEP: dict[Verb, Callable[[AtStep], _Events]] = {
    Verb.NEXT: moves.go_on,
    Verb.START_SOAK: moves.start,
    Verb.START_RINSE: moves.start,
    Verb.START_DRY: moves.start,
    Verb.READING: values.reading,
    Verb.LOT: values.lot,
    Verb.AFFIRM: values.answer,
    Verb.DENY: values.answer,
    Verb.SKIP: closing.skip,
}
_ANYWHERE: dict[Verb, Callable[[Moment], _Events]] = {
    Verb.GO_BACK: moves.go_back,
    Verb.SWITCH: moves.switch,
    Verb.PAUSE: closing.pause,
    Verb.RESUME: closing.resume,
    Verb.NOTE: closing.note,
    Verb.SIGN_OFF: closing.sign_off,
    Verb.ABANDON: closing.abandon,
    Verb.EMERGENCY: emergency.call,
}
# Questions that change nothing; they, a call to stand by and an emergency may come at
# any time.  All else answers what was put to the technician before it was said.
_QUESTIONS = (Verb.REPEAT, Verb.WHERE, Verb.HOW_LONG, Verb.HELP, Verb.ADVISE, Verb.HUSH)
_TIMELESS = (*_QUESTIONS, Verb.PAUSE, Verb.EMERGENCY)


def open_session(procedure: Procedure, opened: ev.SessionOpened) -> _Events:
    """The first entries of a session: its identity, and its first step."""
    return (opened, moves.entered(procedure.components[0], 0, opened.at))


def decide(procedure: Procedure, state: State, what: Input, at: datetime) -> _Events:
    """What happens; nothing, where the session is closed.

    Args:
        procedure: the session's procedure.
        state: the fold of all events so far.
        what: the input.
        at: its moment, aware UTC; never earlier than the last event's.
    """
    if state.closed:
        return ()
    due = time_events(state, at)
    return (*due, *_respond(procedure, fold(due, state), what, at))


def _respond(procedure: Procedure, state: State, what: Input, at: datetime) -> _Events:
    match what:
        case TimeReached():
            return ()
        case PromptEnded():
            kind = ev.PromptFinished if what.to_the_end else ev.PromptInterrupted
            return (kind(at, what.prompt, what.text, what.step, what.caution),)
        case Reopened():
            return _reopened(procedure, state, at)
    heard = _heard(what, at)
    if what.command is None or not what.accepted:
        return (heard,)
    moment = Moment(procedure, fold((heard,), state), at, what.command)
    return (heard, *_obey(moment, what.said_at))


def _heard(said: Said, at: datetime) -> ev.Event:
    """The utterance as it is kept: of a rejected one the scores, not the words."""
    kept = said.command if said.accepted else None
    return ev.Heard(
        at,
        said.source,
        said.text if said.accepted else "",
        "" if kept is None else str(kept),
        said.accepted,
        said.score,
        said.runner_up if said.accepted else "",
        said.runner_up_score,
        said.reason,
    )


def _obey(moment: Moment, said_at: datetime) -> _Events:
    verb, state = moment.command.verb, moment.state
    if next_phase(verb, state.phase) is None:
        return refuse(moment, Refusal(f"phase_{state.phase}"))
    if verb in _QUESTIONS:
        return (ev.Asked(moment.at, verb),)
    if verb not in _TIMELESS and state.since is not None and said_at <= state.since:
        return refuse(moment, Refusal.SAID_BEFORE)
    if state.emergency is not None and verb in (Verb.RESUME, Verb.DENY):
        return emergency.end(moment, state.emergency)
    if state.pending is not None and verb in (Verb.AFFIRM, Verb.DENY):
        then = values.settle if verb is Verb.AFFIRM else values.withdraw
        return then(moment, state.pending)
    if verb in _AT_STEP:
        return _at_step(moment, _AT_STEP[verb])
    return _ANYWHERE[verb](moment)


def _at_step(moment: Moment, decider: Callable[[AtStep], _Events]) -> _Events:
    step = moment.present()
    if step is None:
        return refuse(moment, Refusal.TRACK_DONE, moment.component.name)
    progress = moment.state.progress.get(step.id)
    if progress is None:
        waits = blockers(moment.procedure, moment.state, step)
        return refuse(moment, Refusal.WAITS_FOR, ", ".join(need.short for need in waits))
    return decider(AtStep(moment, step, progress))


def _reopened(procedure: Procedure, state: State, at: datetime) -> _Events:
    """Go on after the program had ended; what waited for an answer is asked anew."""
    reopened = ev.SessionReopened(at)
    if state.phase in (Phase.PAUSED, Phase.EMERGENCY):
        return (reopened,)
    moment = Moment(procedure, state, at, Command(Verb.RESUME))
    return (reopened, *moves.brief(moment, moment.after(reopened)))
