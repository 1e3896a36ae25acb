"""Decisions beside the way: pausing, leaving a step out, problems, the end."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.session import event as ev
from assistant.session.moment import AtStep, Moment, refuse
from assistant.session.moves import brief
from assistant.session.refusal import Refusal
from assistant.session.track import unfinished

if TYPE_CHECKING:
    from assistant.session.event import PendingKind

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
    return (_asked(moment, ev.PendingKind.SKIP, here.step.id, here.step.short),)


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
    return (_asked(moment, ev.PendingKind.SIGN_OFF, "", ""),)


def abandon(moment: Moment) -> _Events:
    """Ask whether to end the session before its time."""
    return (_asked(moment, ev.PendingKind.ABANDON, "", ""),)


def _asked(moment: Moment, kind: PendingKind, step: str, of: str) -> ev.Event:
    return ev.ConfirmationAsked(moment.at, kind, step, of, moment.command.value, "")
