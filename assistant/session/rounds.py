"""Decisions about cleaning again, and about what happens when that is no use any more."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.procedure.model import Role
from assistant.session import event as ev
from assistant.session.bay import lost
from assistant.session.evolve import fold
from assistant.session.moment import AtStep, Moment, ask, refuse
from assistant.session.moves import arrive
from assistant.session.refusal import Refusal
from assistant.session.track import present

if TYPE_CHECKING:
    from assistant.procedure.model import Component
    from assistant.session.state import State

_Events = tuple[ev.Event, ...]


def clean_again(moment: Moment) -> _Events:
    """Clean the part in hand again: asked back, for it undoes what was done."""
    part = moment.component
    if part.role is not Role.PART or part.rounds is None or part.id in moment.state.disposed:
        return refuse(moment, Refusal.NO_ROUND)
    start = _start(part)
    if moment.index <= start:
        return refuse(moment, Refusal.NO_ROUND)
    if any(dwell.component == part.id for dwell in moment.state.running()):
        return refuse(moment, Refusal.ALREADY_RUNNING)
    if moment.state.rounds.get(part.id, 1) >= part.rounds.most:
        return refuse(moment, Refusal.ROUNDS_SPENT, str(part.rounds.most))
    return ask(moment, ev.PendingKind.CLEAN_AGAIN, part.name, part.id)


def begun(moment: Moment, pending: ev.ConfirmationAsked) -> _Events:
    """It was confirmed: the round begins."""
    return _begin(moment, moment.procedure.component(pending.value), "", ())


def failed(here: AtStep, kind: ev.DeviationKind, detail: str, *before: ev.Event) -> _Events:
    """A part failed: clean again while there are rounds, then hold.

    Args:
        here: the step that it failed at.
        kind: the deviation.
        detail: what was found.
        before: the facts that tell of it.
    """
    moment, part = here.moment, here.moment.component
    noted = ev.DeviationNoted(moment.at, kind, part.id, here.step.id, detail)
    events = (*before, noted)
    number = moment.state.rounds.get(part.id, 1)
    if part.rounds is not None and number < part.rounds.most:
        return _begin(moment, part, detail, events)
    spent = ev.DeviationNoted(
        moment.at, ev.DeviationKind.ROUNDS_SPENT, part.id, here.step.id, str(number)
    )
    return (*events, spent, *to_hand_on(moment, moment.after(*events, spent)))


def _begin(moment: Moment, part: Component, reason: str, before: _Events) -> _Events:
    assert part.rounds is not None  # noqa: S101 - asked by who calls
    index = _start(part)
    number = moment.state.rounds.get(part.id, 1) + 1
    steps = tuple(step.id for step in part.steps[index:])
    begins = ev.RoundBegun(moment.at, part.id, number, part.rounds.most, index, steps, reason)
    events = (*before, begins)
    after = moment.after(*events)
    events = (*events, *lost(moment.procedure, after, part.steps[index:], moment.at))
    return (*events, *arrive(moment, moment.after(*events)))


def _start(part: Component) -> int:
    """The index of the step that a round begins with."""
    assert part.rounds is not None  # noqa: S101 - asked by who calls
    return next(n for n, step in enumerate(part.steps) if step.id == part.rounds.start)


def to_hand_on(moment: Moment, state: State) -> _Events:
    """Leave out all of the part but its handing on, and what is done even then."""
    part = moment.component
    given_up = ev.PartGivenUp(moment.at, part.id)
    events: _Events = (given_up, *arrive(moment, fold((given_up,), state)))
    if present(moment.procedure, fold(events, state), part.id) is None:
        return (*events, ev.TrackFinished(moment.at, part.id, part.onward))
    return events
