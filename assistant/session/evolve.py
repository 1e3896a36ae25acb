"""The fold: state and event in, state out.  It never refuses and never asks why."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.session import event as ev
from assistant.session.command import Verb
from assistant.session.state import Progress, Running, State
from assistant.session.table import Phase, Stage, Turn, next_phase, next_stage

if TYPE_CHECKING:
    from collections.abc import Iterable


def fold(events: Iterable[ev.Event], state: State | None = None) -> State:
    """The state after those events, from the empty one or from ``state``."""
    state = State() if state is None else state
    for event in events:
        state = evolve(state, event)
    return state


def evolve(state: State, event: ev.Event) -> State:
    """The state after one event."""
    return replace(_apply(state, event), seq=state.seq + 1)


def _apply(state: State, event: ev.Event) -> State:  # noqa: C901, PLR0912 - one case a fact
    match event:
        case ev.SessionOpened():
            return replace(state, operator=event.operator)
        case ev.SessionReopened():
            return replace(state, pending=None, phase=_turn(state, Turn.SETTLE), misheard=0)
        case ev.Heard():
            return replace(state, misheard=0 if event.command else state.misheard + 1)
        case ev.PromptFinished():
            return _given(state, event)
        case ev.StepEntered():
            return _entered(state, event)
        case ev.StepCompleted():
            return _left(state, event, Turn.COMPLETE)
        case ev.StepSkipped():
            return _left(state, event, Turn.LEAVE_OUT)
        case ev.TrackSwitched():
            return replace(state, focus=event.component, since=event.at)
        case ev.DwellStarted():
            return _started(state, event)
        case ev.DwellMilestone():
            return _announced(state, event)
        case ev.DwellRipe():
            return _advance(state, event.step, Turn.RIPEN)
        case ev.DwellOverdue():
            return _advance(state, event.step, Turn.OVERRUN)
        case ev.DwellEnded():
            return _progress(state, event.step, dwell=None)
        case ev.ConfirmationAsked():
            return replace(state, pending=event, phase=_turn(state, Turn.ASK), since=event.at)
        case ev.ConfirmationWithdrawn():
            return _settled(state)
        case ev.ValueAccepted():
            return _settled(_progress(state, event.step, value=event.value))
        case ev.ProblemNoted():
            return replace(state, problems=(*state.problems, event))
        case ev.DeviationNoted():
            return replace(state, deviations=(*state.deviations, event))
        case ev.Paused():
            return replace(state, phase=_turn(state, Verb.PAUSE))
        case ev.Resumed():
            return replace(state, phase=_turn(state, Verb.RESUME), since=event.at)
        case ev.EmergencyCalled():
            phase = _turn(state, Verb.EMERGENCY)
            return replace(
                state, pending=None, phase=phase, since=event.at, emergency=event, flushed=False
            )
        case ev.FlushMilestone():
            return _flush_announced(state, event)
        case ev.FlushDone():
            return replace(state, flushed=True)
        case ev.EmergencyEnded():
            phase = _turn(state, Verb.RESUME)
            return replace(state, emergency=None, flushed=False, phase=phase, since=event.at)
        case ev.SignedOff():
            return replace(state, pending=None, phase=_turn(state, Turn.CLOSE))
        case ev.Abandoned():
            return replace(state, pending=None, phase=_turn(state, Turn.DROP))
        case _:
            return state


def _turn(state: State, trigger: str) -> Phase:
    return next_phase(trigger, state.phase) or state.phase


def _settled(state: State) -> State:
    return replace(state, pending=None, phase=_turn(state, Turn.SETTLE))


def _set(state: State, step: str, progress: Progress) -> State:
    return replace(state, progress={**state.progress, step: progress})


def _progress(state: State, step: str, **changes: object) -> State:
    return _set(state, step, replace(state.progress[step], **changes))  # type: ignore[arg-type] # field names are ours


def _advance(state: State, step: str, trigger: str) -> State:
    now = state.progress[step]
    return _progress(state, step, stage=next_stage(trigger, now.stage) or now.stage)


def _given(state: State, event: ev.PromptFinished) -> State:
    now = state.progress.get(event.step)
    if now is None or event.caution not in now.due:
        return state
    due = now.due - {event.caution}
    state = _progress(state, event.step, due=due)
    return state if due else _advance(state, event.step, Turn.BRIEFED)


def _entered(state: State, event: ev.StepEntered) -> State:
    """Enter a step anew: whatever it had before is history, in the record only."""
    fresh = Progress(Stage.BRIEFING if event.cautions else Stage.READY, frozenset(event.cautions))
    return replace(
        _set(state, event.step, fresh),
        focus=event.component,
        position={**state.position, event.component: event.index},
        since=event.at,
    )


def _left(state: State, event: ev.StepCompleted | ev.StepSkipped, trigger: str) -> State:
    """Leave a step behind; a skip was confirmed, so nothing waits any more."""
    state = _advance(_settled(state), event.step, trigger)
    return replace(
        state, position={**state.position, event.component: event.index + 1}, since=event.at
    )


def _started(state: State, event: ev.DwellStarted) -> State:
    dwell = Running(
        event.component,
        event.step,
        event.kind,
        event.at,
        event.least_s,
        event.most_s,
        event.milestones_s,
    )
    return replace(
        _advance(_progress(state, event.step, dwell=dwell), event.step, Turn.START),
        since=event.at,
    )


def _flush_announced(state: State, event: ev.FlushMilestone) -> State:
    if state.emergency is None:
        return state
    left = tuple(m for m in state.emergency.milestones_s if m < event.remaining_s)
    return replace(state, emergency=replace(state.emergency, milestones_s=left))


def _announced(state: State, event: ev.DwellMilestone) -> State:
    dwell = state.progress[event.step].dwell
    if dwell is None:
        return state
    left = tuple(m for m in dwell.milestones_s if m < event.remaining_s)
    return _progress(state, event.step, dwell=replace(dwell, milestones_s=left))
