"""Decisions about the way through the tracks: on, back, across, and the timers."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.procedure.model import (
    Act,
    BathStep,
    BayTask,
    Component,
    Dwell,
    Otherwise,
    Question,
    Role,
    When,
)
from assistant.procedure.quantity import duration_text
from assistant.session import event as ev
from assistant.session.bath_check import unfit
from assistant.session.bay import READY, changed, crowded, is_ready, used
from assistant.session.command import Verb
from assistant.session.due import milestones
from assistant.session.evolve import fold
from assistant.session.moment import AtStep, Moment, refuse
from assistant.session.refusal import Refusal
from assistant.session.state import NO
from assistant.session.table import Stage, Turn, next_stage
from assistant.session.track import (
    START,
    answers,
    applies,
    blockers,
    elapsed_s,
    elsewhere,
    present,
    remaining_s,
    unfinished,
)

if TYPE_CHECKING:
    from datetime import datetime

    from assistant.session.state import Running, State

_Events = tuple[ev.Event, ...]
HELD = "held"

# Why a timer cannot be started in a stage that the table gives no start.
_NO_START = {
    Stage.BRIEFING: Refusal.CAUTION_UNHEARD,
    Stage.DWELLING: Refusal.ALREADY_RUNNING,
    Stage.RIPE: Refusal.TIME_IS_UP,
    Stage.OVERDUE: Refusal.TIME_IS_UP,
}


def entered(component: Component, index: int, at: datetime, *, again: bool = False) -> ev.Event:
    """The entry into a component's step, its cautions due."""
    step = component.steps[index]
    cautions = tuple(caution.id for caution in step.cautions)
    return ev.StepEntered(at, component.id, step.id, index, cautions, again, step.working)


def go_on(here: AtStep) -> _Events:
    """Complete the present step ("next"), where its task allows that."""
    stage = here.progress.stage
    if stage is Stage.BRIEFING:
        return refuse(here.moment, Refusal.CAUTION_UNHEARD)
    if stage is Stage.DWELLING:
        return refuse(here.moment, Refusal.STILL_RUNNING, time_left(here))
    if stage is Stage.READY and isinstance(here.step.task, BayTask):
        return made_ready(here, here.step.task)
    if stage is Stage.READY and not (isinstance(here.step.task, Act) or _left_so(here)):
        return expects(here)
    if stage is Stage.READY:
        met = touch(here)
        return met if _refused(met) else complete(here, *met)
    return complete(here, *lift(here))


def _left_so(here: AtStep) -> bool:
    """Whether a question was answered with no, and may be left at that."""
    task = here.step.task
    must = isinstance(task, Question) and task.otherwise is Otherwise.MUST
    return isinstance(task, Question) and here.progress.value == NO and not must


def made_ready(here: AtStep, task: BayTask) -> _Events:
    """The bay is drained, wiped, filled, as it needs; not while a part lies in it."""
    moment = here.moment
    names = crowded(moment.procedure, moment.state, task.place, moment.component.id, alone=True)
    if names:
        return refuse(moment, Refusal.BAY_IN_USE, names)
    return complete(here, *changed(moment.procedure, moment.state, here.step, task, moment.at))


def _taken(here: AtStep) -> _Events:
    """The part takes its bay: a refusal where that is not as it must be, or the fact.

    What was ready when the step was entered may have been used since, by a part that is
    cleaned again: then the step before, that makes it ready, is entered anew.
    """
    place, moment = here.step.place, here.moment
    if place is None:
        return ()
    names = crowded(moment.procedure, moment.state, place, moment.component.id, alone=False)
    if names:
        return refuse(moment, Refusal.BAY_IN_USE, names)
    if is_ready(moment.state, place):
        return used(moment.state, here.step, place, moment.at)
    before = moment.component.steps[moment.index - 1] if moment.index else None
    if before is None or not isinstance(before.task, BayTask):
        return refuse(moment, Refusal.BATH_DOUBTFUL, moment.procedure.bath(place.content).name)
    again = entered(moment.component, moment.index - 1, moment.at, again=True)
    return (*refuse(moment, Refusal.BAY_NOT_READY, place.bay), again)


def touch(here: AtStep, soak_s: int = 0) -> _Events:
    """The part meets bay and bath of its step: a refusal where that may not be, or the facts."""
    bath, moment = here.step.bath, here.moment
    placed = _taken(here)
    if _refused(placed) or not bath or moment.component.role is Role.BATH:
        return placed
    component = moment.component.id
    why = unfit(moment.procedure, moment.state, bath, moment.at, component, soak_s)
    if why is not None:
        reason, about, working = why
        return refuse(moment, reason, about, working)
    now = moment.state.baths.get(bath)
    if now is None or component in now.served:
        return placed
    return (*placed, ev.BathUsed(moment.at, bath, component))


def _refused(events: _Events) -> bool:
    return any(isinstance(event, ev.CommandRefused) for event in events)


def start(here: AtStep) -> _Events:
    """Start the present step's timer, on its own cue only."""
    task, moment = here.step.task, here.moment
    if here.step.first_rinse and moment.command.verb is Verb.START_SOAK:
        return refuse(moment, Refusal.FIRST_RINSE, here.step.short)
    if not isinstance(task, Dwell):
        return expects(here)
    if moment.command.verb is not START[task.kind]:
        return refuse(moment, Refusal.WRONG_TIMER, START[task.kind])
    stage = here.progress.stage
    if next_stage(Turn.START, stage) is None:
        return refuse(moment, _NO_START[stage], time_left(here))
    met = touch(here, task.least_s)
    if _refused(met):
        return met
    return (
        *met,
        ev.DwellStarted(
            moment.at,
            moment.component.id,
            here.step.id,
            task.kind,
            task.least_s,
            task.most_s,
            milestones(task.least_s),
            task.bath or "",
        ),
    )


def go_back(moment: Moment) -> _Events:
    """One step back.  Nothing is erased: the step is entered again, cautions too.

    A timer that has not reached its least time is undone and its step begun
    anew; one that has is not thrown away by a word.
    """
    step = moment.present()
    progress = None if step is None else moment.state.progress.get(step.id)
    if progress is not None and progress.stage in (Stage.RIPE, Stage.OVERDUE):
        return refuse(moment, Refusal.TIME_IS_UP)
    if progress is not None and progress.dwell is not None:
        undone = ended(progress.dwell, moment.at, counts=False)
        return (undone, entered(moment.component, moment.index, moment.at, again=True))
    steps = moment.component.steps
    earlier = [n for n in range(moment.index) if applies(steps[n], moment.state)]
    if not earlier:
        return refuse(moment, Refusal.FIRST_STEP)
    return (entered(moment.component, earlier[-1], moment.at, again=True),)


def switch(moment: Moment) -> _Events:
    """Turn to another component; its present step is entered, or said again."""
    wanted = moment.command.value
    if wanted not in {component.id for component in moment.procedure.components}:
        return refuse(moment, Refusal.UNKNOWN_COMPONENT, wanted)
    if wanted == moment.state.focus:
        return refuse(moment, Refusal.SAME_COMPONENT, moment.component.name)
    if wanted in moment.state.absent:
        return refuse(moment, Refusal.NOT_HERE, moment.procedure.component(wanted).name)
    return turn_to(moment, wanted)


def turn_to(moment: Moment, component: str, *before: ev.Event) -> _Events:
    """The turn to a component after those events, with what its present step brings."""
    switched = ev.TrackSwitched(moment.at, component)
    return (*before, switched, *brief(moment, moment.after(*before, switched)))


def brief(moment: Moment, state: State) -> _Events:
    """Enter the present step, again if it was entered; a running timer is left alone."""
    step = present(moment.procedure, state, state.focus)
    if step is None or state.barred:
        return ()
    progress = state.progress.get(step.id)
    if progress is None or not applies(step, state):
        return arrive(moment, state)
    if progress.dwell is not None:
        return ()
    component = moment.procedure.component(state.focus)
    return (entered(component, state.position.get(state.focus, 0), moment.at, again=True),)


def complete(here: AtStep, *before: ev.Event) -> _Events:
    """Leave the step done, and enter the next one of its track."""
    moment = here.moment
    done = ev.StepCompleted(moment.at, moment.component.id, here.step.id, moment.index)
    made = _made(here, moment.after(*before, done))
    events = (*before, done, *made)
    return (*events, *move_on(moment, moment.after(*events)))


def _made(here: AtStep, state: State) -> _Events:
    """A bath is made when its detergent went in."""
    component = here.moment.component
    if component.role is not Role.BATH or here.step.id != f"{component.id}.{BathStep.DOSE}":
        return ()
    lot, expiry = (
        state.progress.get(f"{component.id}.{name}") for name in (BathStep.LOT, BathStep.EXPIRY)
    )
    return (
        ev.BathMade(
            here.moment.at,
            component.id,
            here.moment.procedure.bath(component.id).known_as,
            "" if lot is None else lot.value,
            "" if expiry is None else expiry.value,
        ),
    )


def move_on(moment: Moment, state: State) -> _Events:
    """Enter the step that is now present, unless it waits or the track is finished.

    Nothing is handed on at the end of the intake or of a bath's track: there the
    turn to what can be done next needs no word of the technician.
    """
    component = moment.component
    events = arrive(moment, state)
    after = fold(events, state)
    if present(moment.procedure, after, component.id) is not None:
        return events
    finished = ev.TrackFinished(moment.at, component.id, component.onward)
    events = (*events, finished)
    other = elsewhere(moment.procedure, after)
    if component.role is Role.PART or other is None:
        return events
    switched = ev.TrackSwitched(moment.at, other.id)
    return (*events, switched, *brief(moment, fold((finished, switched), after)))


def arrive(moment: Moment, state: State) -> _Events:
    """Enter the step before the component in focus; what does not apply is passed over."""
    component = moment.procedure.component(state.focus)
    events: _Events = ()
    step = present(moment.procedure, state, component.id)
    while step is not None and not applies(step, state):
        early = any(c.role is Role.INTAKE for c in unfinished(moment.procedure, state))
        if step.when is When.DELAYED and early:
            return events  # only a finished intake tells that it does not apply
        new = isinstance(step.task, BayTask) and step.id not in state.progress
        if new and blockers(moment.procedure, state, step):
            return events  # what the bay is may change before its turn
        index = state.position.get(component.id, 0)
        why = HELD if component.id in state.given_up else str(step.when or READY)
        passed = ev.StepPassedOver(moment.at, component.id, step.id, index, why)
        events, state = (*events, passed), fold((passed,), state)
        step = present(moment.procedure, state, component.id)
    if step is None or blockers(moment.procedure, state, step):
        return events
    return (*events, entered(component, state.position.get(component.id, 0), moment.at))


def lift(here: AtStep) -> _Events:
    """End the running timer, if there is one; what missed its limits is a deviation."""
    dwell, at = here.progress.dwell, here.moment.at
    if dwell is None:
        return ()
    seconds = elapsed_s(dwell, at)
    spent = duration_text(int(seconds))
    events: _Events = (ended(dwell, at, counts=True),)
    if seconds < dwell.least_s:
        limit = f"{spent} < {duration_text(dwell.least_s)}"
        events += (_deviation(dwell, at, ev.DeviationKind.UNDER_TIME, limit),)
    if dwell.most_s is not None and seconds > dwell.most_s:
        limit = f"{spent} > {duration_text(dwell.most_s)}"
        events += (_deviation(dwell, at, ev.DeviationKind.OVER_TIME, limit),)
    return events


def expects(here: AtStep) -> _Events:
    """The refusal of a command that does not do the step's task."""
    if here.progress.stage is Stage.BRIEFING:
        return refuse(here.moment, Refusal.CAUTION_UNHEARD)
    if here.progress.dwell is not None:
        return refuse(here.moment, Refusal.ALREADY_RUNNING, time_left(here))
    return refuse(here.moment, Refusal.EXPECTS, "|".join(answers(here.step)))


def time_left(here: AtStep) -> str:
    """The time until the least time, as shown; "" where no timer runs or it is up."""
    dwell = here.progress.dwell
    left = 0 if dwell is None else round(remaining_s(dwell, here.moment.at))
    return duration_text(left) if left > 0 else ""


def ended(dwell: Running, at: datetime, *, counts: bool) -> ev.Event:
    """The end of a running timer; one that does not count was stopped."""
    seconds = elapsed_s(dwell, at)
    return ev.DwellEnded(at, dwell.component, dwell.step, dwell.kind, seconds, counts)


def _deviation(dwell: Running, at: datetime, kind: ev.DeviationKind, detail: str) -> ev.Event:
    return ev.DeviationNoted(at, kind, dwell.component, dwell.step, detail)
