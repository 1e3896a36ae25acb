"""Decisions beside the way: pausing, leaving a step out, problems, the end."""

from __future__ import annotations

from assistant.session import event as ev
from assistant.session.moment import AtStep, Moment, ask, refuse
from assistant.session.moves import brief, lift, move_on
from assistant.session.refusal import Refusal
from assistant.session.track import unfinished

_Events = tuple[ev.Event, ...]


def pause(moment: Moment) -> _Events:
    """Stand still; timers go on, for what soaks does not know of the pause."""
    return (ev.Paused(moment.at),)


def resume(moment: Moment) -> _Events:
    """Go on; the present step is entered again, so that its cautions are heard again."""
    resumed = ev.Resumed(moment.at)
    return (resumed, *brief(moment, moment.after(resumed)))


def skip(here: AtStep) -> _Events:
    """Ask whether to leave the present step out, for a stated reason."""
    moment = here.moment
    if here.step.mandatory:
        return refuse(moment, Refusal.MANDATORY)
    if not moment.command.value:
        return refuse(moment, Refusal.NO_REASON)
    return ask(moment, ev.PendingKind.SKIP, here.step.short, step=here.step.id)


def note(moment: Moment) -> _Events:
    """Keep a problem with the component in hand."""
    if not moment.command.value:
        return refuse(moment, Refusal.NO_REASON)
    step = moment.present()
    component = moment.component.id
    step_id = "" if step is None else step.id
    return (ev.ProblemNoted(moment.at, component, step_id, moment.command.value),)


def sign_off(moment: Moment) -> _Events:
    """Ask whether to close the session; every track must be at its end."""
    left = unfinished(moment.procedure, moment.state)
    if left:
        names = ", ".join(component.name for component in left)
        return refuse(moment, Refusal.UNFINISHED, names)
    return ask(moment, ev.PendingKind.SIGN_OFF)


def abandon(moment: Moment) -> _Events:
    """Ask whether to end the session before its time."""
    return ask(moment, ev.PendingKind.ABANDON)


def signed_off(moment: Moment) -> _Events:
    """The session is closed."""
    state = moment.state
    counts = len(state.deviations), len(state.problems)
    return (ev.SignedOff(moment.at, state.operator, *counts),)


def abandoned(moment: Moment) -> _Events:
    """The session is ended before its time."""
    return (ev.Abandoned(moment.at, moment.state.operator),)


def skipped(here: AtStep, pending: ev.ConfirmationAsked) -> _Events:
    """The present step is left out: a deviation."""
    moment, component = here.moment, here.moment.component.id
    skips = ev.StepSkipped(moment.at, component, here.step.id, moment.index, pending.value)
    kind = ev.DeviationKind.SKIPPED
    noted = ev.DeviationNoted(moment.at, kind, component, here.step.id, pending.value)
    events = (*lift(here), skips, noted)
    return (*events, *move_on(moment, moment.after(*events)))
