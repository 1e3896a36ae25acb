"""The decision: procedure, state, input and moment in, events out.  Pure.

The clock is heard first: what is due at or before the moment happens before
the input, so a soak that ends at the very instant of "next" has ended.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.procedure.model import (
    ElapsedTask,
    ExpiryTask,
    IdentifyTask,
    InspectionTask,
    LotTask,
    TestTask,
)
from assistant.session import bathing, closing, emergency, handing, intake, moves, trials, values
from assistant.session import event as ev
from assistant.session import rounds as again
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
from assistant.session.scanning import identity, scanned
from assistant.session.table import Phase, next_phase
from assistant.session.track import blockers

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable
    from datetime import datetime

    from assistant.procedure.model import Procedure
    from assistant.session.state import State

_Events = tuple[ev.Event, ...]


def _answer(here: AtStep) -> _Events:
    code = here.moment.state.received
    match here.step.task:
        case InspectionTask():
            return trials.seen(here)
        case IdentifyTask() if code:
            return intake.received(here, identity(code, here.moment.at.year))
    return intake.answer(here)


def _note(moment: Moment) -> _Events:
    """A problem: at an inspection it is a finding, elsewhere it is kept."""
    step = moment.present()
    progress = None if step is None else moment.state.progress.get(step.id)
    if step is not None and progress is not None and isinstance(step.task, InspectionTask):
        return trials.found(AtStep(moment, step, progress))
    return closing.note(moment)


# Commands about the present step: refused where there is none.
_AT_STEP: dict[Verb, Callable[[AtStep], _Events]] = {
    Verb.NEXT: moves.go_on,
    Verb.START_SOAK: moves.start,
    Verb.START_RINSE: moves.start,
    Verb.START_DRY: moves.start,
    Verb.START_HOLD: moves.start,
    Verb.LOT: values.lot,
    Verb.EXPIRY: values.expiry,
    Verb.AFFIRM: _answer,
    Verb.DENY: _answer,
    Verb.SKIP: closing.skip,
    Verb.DEVICE: intake.name_device,
    Verb.UNKNOWN: intake.unknown,
    Verb.MISSING: intake.count,
    Verb.DAMAGED: intake.count,
    Verb.SINGLE_USE: intake.count,
    Verb.PASS: trials.tally,
    Verb.FILL: trials.tally,
    Verb.HAND_ON: handing.choose,
    Verb.HOLD: handing.choose,
    Verb.REPAIR: handing.choose,
    Verb.CONTAINER: lambda here: handing.container(here, here.moment.command.value),
    Verb.SCAN: scanned,
}
_ANYWHERE: dict[Verb, Callable[[Moment], _Events]] = {
    Verb.READING: values.reading,
    Verb.GO_BACK: moves.go_back,
    Verb.SWITCH: moves.switch,
    Verb.PAUSE: closing.pause,
    Verb.RESUME: closing.resume,
    Verb.NOTE: _note,
    Verb.SIGN_OFF: closing.sign_off,
    Verb.ABANDON: closing.abandon,
    Verb.EMERGENCY: emergency.call,
    Verb.OVERRIDE: handing.override,
    Verb.CLEAN_AGAIN: again.clean_again,
    Verb.TAP_WATER: bathing.tap_water,
    Verb.KEEP_BATH: bathing.keep,
    Verb.FRESH_BATH: bathing.fresh,
    Verb.SPOIL: bathing.spoil,
}
# Questions that change nothing; they, a call to stand by and an emergency may come at
# any time.  All else answers what was put to the technician before it was said.
_QUESTIONS = (
    Verb.REPEAT,
    Verb.WHERE,
    Verb.HOW_LONG,
    Verb.SOAKING,
    Verb.HELP,
    Verb.ADVISE,
    Verb.HUSH,
)
_TIMELESS = (*_QUESTIONS, Verb.PAUSE, Verb.EMERGENCY)


def open_session(
    procedure: Procedure, opened: ev.SessionOpened, standing: Iterable[ev.BathStood] = ()
) -> _Events:
    """The first entries of a session: its identity, what stands ready, and its first step.

    Args:
        procedure: to be led; one that may not be used today waits for an override.
        opened: the first entry.
        standing: baths of earlier sessions that may be taken over.
    """
    stood = tuple(intake.stood(procedure, standing))
    stops = intake.barred(procedure, opened.at)
    first = () if stops else (moves.entered(procedure.components[0], 0, opened.at),)
    return (opened, *stood, *stops, *first)


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
        then = _settle if verb is Verb.AFFIRM else _withdraw
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


def _withdraw(moment: Moment, pending: ev.ConfirmationAsked) -> _Events:
    """What was read back is wrong: nothing comes of it."""
    return (ev.ConfirmationWithdrawn(moment.at, pending.kind, pending.of),)


def _value(here: AtStep, pending: ev.ConfirmationAsked) -> _Events:
    """A value that is right, by what the step makes of it."""
    match here.step.task:
        case ElapsedTask():
            given = values.accepted(here.moment, here.step, pending)
            return intake.elapsed(here, values.minutes_s(pending), given)
        case TestTask():
            return trials.tested(here, pending)
        case LotTask():
            return _lot(here, pending)
    return values.settle_reading(here, pending)


def _lot(here: AtStep, pending: ev.ConfirmationAsked) -> _Events:
    """A lot that is right; where its code gives the expiry too, that is read back at once."""
    events = values.settle_reading(here, pending)
    moment = here.moment
    found = identity(pending.raw, moment.at.year) if pending.raw else None
    after = moment.after(*events)
    following = Moment(moment.procedure, after, moment.at, moment.command)
    step = following.present()
    if found is None or found.expires_on is None or step is None:
        return events
    if not isinstance(step.task, ExpiryTask) or step.id not in after.progress:
        return events
    return (*events, *values.expiry_on(following, step, found.expires_on, pending.raw))


# What was read back is right: what comes of it, by its kind.
_SETTLED: dict[ev.PendingKind, Callable[[Moment, ev.ConfirmationAsked], _Events]] = {
    ev.PendingKind.SIGN_OFF: lambda moment, _pending: closing.signed_off(moment),
    ev.PendingKind.ABANDON: lambda moment, _pending: closing.abandoned(moment),
    ev.PendingKind.OVERRIDE: intake.overridden,
    ev.PendingKind.ACCEPT: handing.deviations_accepted,
    ev.PendingKind.FRESH_BATH: bathing.emptied,
    ev.PendingKind.CLEAN_AGAIN: again.begun,
}
_SETTLED_AT_STEP: dict[ev.PendingKind, Callable[[AtStep, ev.ConfirmationAsked], _Events]] = {
    ev.PendingKind.VALUE: _value,
    ev.PendingKind.SKIP: closing.skipped,
    ev.PendingKind.IDENTITY: lambda here, pending: intake.identified(
        here, pending.raw, identity(pending.raw, here.moment.at.year) if pending.raw else None
    ),
    ev.PendingKind.FAILED: lambda here, _pending: intake.failed_question(here),
    ev.PendingKind.UNKNOWN: lambda here, _pending: intake.elapsed(here, None),
    ev.PendingKind.MISSING: intake.counted,
    ev.PendingKind.DAMAGED: intake.counted,
    ev.PendingKind.SINGLE_USE: intake.counted,
    ev.PendingKind.DISPOSITION: handing.chosen,
    ev.PendingKind.CONTAINER: handing.disposed,
}


def _settle(moment: Moment, pending: ev.ConfirmationAsked) -> _Events:
    if pending.kind in _SETTLED:
        return _SETTLED[pending.kind](moment, pending)
    # The present step, or the last one of a bath's track that is done.
    step = moment.present() or moment.component.steps[-1]
    here = AtStep(moment, step, moment.state.progress[step.id])
    return _SETTLED_AT_STEP[pending.kind](here, pending)


def _reopened(procedure: Procedure, state: State, at: datetime) -> _Events:
    """Go on after the program had ended; what waited for an answer is asked anew."""
    reopened = ev.SessionReopened(at)
    if state.phase in (Phase.PAUSED, Phase.EMERGENCY) or state.barred:
        return (reopened,)
    moment = Moment(procedure, state, at, Command(Verb.RESUME))
    return (reopened, *moves.brief(moment, moment.after(reopened)))
