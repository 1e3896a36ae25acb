"""The fold: state and event in, state out.  It never refuses and never asks why."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any, TypeVar

from assistant.session import baths
from assistant.session import event as ev
from assistant.session.command import Verb
from assistant.session.state import NO, Progress, Running, State
from assistant.session.table import Phase, Stage, Turn, next_phase, next_stage

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping


# Stages of a step that is neither timed nor behind.
_IN_HAND = (Stage.BRIEFING, Stage.READY)


def fold(events: Iterable[ev.Event], state: State | None = None) -> State:
    """The state after those events, from the empty one or from ``state``."""
    state = State() if state is None else state
    for event in events:
        state = evolve(state, event)
    return state


def evolve(state: State, event: ev.Event) -> State:
    """The state after one event."""
    return replace(_apply(state, event), seq=state.seq + 1)


def _apply(state: State, event: ev.Event) -> State:
    """The state after one event, by its class; an event of no effect leaves it as it is."""
    apply = _APPLY.get(type(event))
    return state if apply is None else apply(state, event)


def _turn(state: State, trigger: str) -> Phase:
    return next_phase(trigger, state.phase) or state.phase


def _to_work(state: State, phase: Phase) -> Phase:
    """The phase; where work is barred still, that."""
    barred = state.barred and phase is Phase.WORKING
    return next_phase(Turn.BAR, phase) or phase if barred else phase


def _settled(state: State) -> State:
    return replace(state, pending=None, phase=_to_work(state, _turn(state, Turn.SETTLE)))


def _set(state: State, step: str, progress: Progress) -> State:
    return replace(state, progress={**state.progress, step: progress})


def _progress(state: State, step: str, **changes: object) -> State:
    return _set(state, step, replace(state.progress[step], **changes))  # type: ignore[arg-type] # field names are ours


def _advance(state: State, step: str, trigger: str) -> State:
    now = state.progress[step]
    return _progress(state, step, stage=next_stage(trigger, now.stage) or now.stage)


def _opened(state: State, event: ev.SessionOpened) -> State:
    focus = event.components[0] if event.components else ""
    return replace(
        state,
        session=event.session,
        operator=event.operator,
        received=event.received,
        received_as=event.received_as,
        focus=focus,
    )


def _reopened(state: State, _event: ev.SessionReopened) -> State:
    return replace(_settled(state), misheard=0)


def _heard(state: State, event: ev.Heard) -> State:
    listed = state.listed + 1 if event.command == Verb.HELP else 0
    return replace(state, misheard=0 if event.command else state.misheard + 1, listed=listed)


def _given(state: State, event: ev.PromptFinished) -> State:
    now = state.progress.get(event.step)
    if now is None or event.caution not in now.due:
        return state
    due = now.due - {event.caution}
    state = _progress(state, event.step, due=due)
    return state if due else _advance(state, event.step, Turn.BRIEFED)


def _entered(state: State, event: ev.StepEntered) -> State:
    """Enter a step anew: whatever it had before is history, in the record only.

    But brush passes and syringe fills of a step that is taken up again (after another
    track, or a pause) were made, and go on counting.
    """
    before = state.progress.get(event.step)
    taken_up = event.again and before is not None and before.stage in _IN_HAND
    count = before.count if before is not None and taken_up else 0
    cautions = frozenset(event.cautions)
    fresh = Progress(Stage.BRIEFING if cautions else Stage.READY, cautions, count=count)
    return replace(
        _set(state, event.step, fresh),
        focus=event.component,
        position={**state.position, event.component: event.index},
        since=event.at,
    )


def _left(state: State, event: ev.StepCompleted | ev.StepSkipped, trigger: str) -> State:
    """Leave a step behind; a skip was confirmed, so nothing waits any more."""
    state = _advance(_settled(state), event.step, trigger)
    return _behind(state, event.component, event.index)


def _behind(state: State, component: str, index: int) -> State:
    return replace(state, position={**state.position, component: index + 1})


def _passed_over(state: State, event: ev.StepPassedOver) -> State:
    state = _set(state, event.step, Progress(Stage.SKIPPED))
    return _behind(state, event.component, event.index)


def _switched(state: State, event: ev.TrackSwitched) -> State:
    return replace(state, focus=event.component, since=event.at)


def _started(state: State, event: ev.DwellStarted) -> State:
    dwell = Running(
        event.component,
        event.step,
        event.kind,
        event.at,
        event.least_s,
        event.most_s,
        event.milestones_s,
        event.bath,
    )
    return _advance(_progress(state, event.step, dwell=dwell), event.step, Turn.START)


def _announced(state: State, event: ev.DwellMilestone) -> State:
    dwell = state.progress[event.step].dwell
    if dwell is None:
        return state
    left = tuple(m for m in dwell.milestones_s if m < event.remaining_s)
    return _progress(state, event.step, dwell=replace(dwell, milestones_s=left))


def _ended(state: State, event: ev.DwellEnded) -> State:
    return _progress(state, event.step, dwell=None, seconds=event.seconds)


def _asked(state: State, event: ev.ConfirmationAsked) -> State:
    return replace(state, pending=event, phase=_turn(state, Turn.ASK), since=event.at)


def _withdrawn(state: State, _event: ev.ConfirmationWithdrawn) -> State:
    return _settled(state)


def _accepted(state: State, event: ev.ValueAccepted) -> State:
    """Keep a value; a question answered with yes after a no is mended."""
    state = _settled(_progress(state, event.step, value=event.value, unit=event.unit))
    mended = [
        deviation
        for deviation in state.open
        if deviation.kind is ev.DeviationKind.ANSWERED_NO and deviation.step == event.step
    ]
    if event.value == NO or not mended:
        return state
    return replace(state, open=tuple(d for d in state.open if d not in mended))


def _problem(state: State, event: ev.ProblemNoted) -> State:
    return replace(state, problems=(*state.problems, event))


def _deviated(state: State, event: ev.DeviationNoted) -> State:
    blocks = (*state.open, event) if event.kind in ev.BLOCKING else state.open
    return replace(state, deviations=(*state.deviations, event), open=blocks)


def _paused(state: State, _event: ev.Paused) -> State:
    return replace(state, phase=_turn(state, Verb.PAUSE))


def _resumed(state: State, event: ev.Resumed) -> State:
    return replace(state, phase=_turn(state, Verb.RESUME), since=event.at)


def _emergency(state: State, event: ev.EmergencyCalled) -> State:
    phase = _turn(state, Verb.EMERGENCY)
    return replace(state, pending=None, phase=phase, since=event.at, emergency=event, flushed=False)


def _flush_announced(state: State, event: ev.FlushMilestone) -> State:
    if state.emergency is None:
        return state
    left = tuple(m for m in state.emergency.milestones_s if m < event.remaining_s)
    return replace(state, emergency=replace(state.emergency, milestones_s=left))


def _flushed(state: State, _event: ev.FlushDone) -> State:
    return replace(state, flushed=True)


def _emergency_ended(state: State, event: ev.EmergencyEnded) -> State:
    phase = _to_work(state, _turn(state, Verb.RESUME))
    return replace(state, emergency=None, flushed=False, phase=phase, since=event.at)


def _closed(state: State, trigger: str) -> State:
    return replace(state, pending=None, phase=_turn(state, trigger))


def _barred(state: State, _event: ev.ProcedureBarred) -> State:
    return replace(state, barred=True, phase=_turn(state, Turn.BAR))


def _overridden(state: State, _event: ev.ProcedureOverridden) -> State:
    return _settled(replace(state, barred=False))


def _item(state: State, event: ev.ItemNoted) -> State:
    state = _settled(state)
    if event.ends is None:
        return state
    position = {**state.position, event.component: event.ends}
    return replace(state, position=position, absent=state.absent | {event.component})


def _delayed(state: State, _event: ev.DelayFound) -> State:
    return replace(_settled(state), delayed=True)


def _tallied(state: State, event: ev.Tallied) -> State:
    return _progress(state, event.step, count=event.count, value=event.result)


def _tested(state: State, event: ev.Tested) -> State:
    return _settled(_progress(state, event.step, value=event.value, unit=event.unit))


def _round(state: State, event: ev.RoundBegun) -> State:
    """Forget what is done again, and close the deviations that it mends."""
    state = _settled(state)
    again = set(event.steps)
    return replace(
        state,
        progress={step: now for step, now in state.progress.items() if step not in again},
        position={**state.position, event.component: event.index},
        rounds={**state.rounds, event.component: event.number},
        given_up=state.given_up - {event.component},
        choices=_without(state.choices, event.component),
        open=tuple(
            deviation
            for deviation in state.open
            if deviation.step not in again or deviation.kind is ev.DeviationKind.DAMAGED
        ),
    )


def _given_up(state: State, event: ev.PartGivenUp) -> State:
    return replace(_settled(state), given_up=state.given_up | {event.component})


def _deviations_accepted(state: State, event: ev.DeviationsAccepted) -> State:
    left = tuple(
        deviation
        for deviation in state.open
        if deviation.component != event.component or deviation.kind not in ev.ACCEPTABLE
    )
    return replace(_settled(state), open=left)


def _chosen(state: State, event: ev.DispositionChosen) -> State:
    return replace(_settled(state), choices={**state.choices, event.component: event})


def _disposed(state: State, event: ev.Disposed) -> State:
    return replace(
        _settled(state),
        choices=_without(state.choices, event.component),
        disposed={**state.disposed, event.component: event},
    )


_T = TypeVar("_T")


def _without(table: Mapping[str, _T], key: str) -> Mapping[str, _T]:
    return {name: value for name, value in table.items() if name != key}


# By class of event.  What stands here alters the state; all other events are history.
_APPLY: dict[type[ev.Event], Callable[[State, Any], State]] = {
    ev.SessionOpened: _opened,
    ev.SessionReopened: _reopened,
    ev.Heard: _heard,
    ev.PromptFinished: _given,
    ev.StepEntered: _entered,
    ev.StepCompleted: lambda state, event: _left(state, event, Turn.COMPLETE),
    ev.StepSkipped: lambda state, event: _left(state, event, Turn.LEAVE_OUT),
    ev.StepPassedOver: _passed_over,
    ev.PartGivenUp: _given_up,
    # A temperature that was read back may be refused all the same.
    ev.ValueRefused: lambda state, _event: _settled(state),
    ev.TrackSwitched: _switched,
    ev.DwellStarted: _started,
    ev.DwellMilestone: _announced,
    ev.DwellRipe: lambda state, event: _advance(state, event.step, Turn.RIPEN),
    ev.DwellOverdue: lambda state, event: _advance(state, event.step, Turn.OVERRUN),
    ev.DwellEnded: _ended,
    ev.ConfirmationAsked: _asked,
    ev.ConfirmationWithdrawn: _withdrawn,
    ev.ValueAccepted: _accepted,
    ev.ProblemNoted: _problem,
    ev.DeviationNoted: _deviated,
    ev.Paused: _paused,
    ev.Resumed: _resumed,
    ev.EmergencyCalled: _emergency,
    ev.FlushMilestone: _flush_announced,
    ev.FlushDone: _flushed,
    ev.EmergencyEnded: _emergency_ended,
    ev.SignedOff: lambda state, _event: _closed(state, Turn.CLOSE),
    ev.Abandoned: lambda state, _event: _closed(state, Turn.DROP),
    ev.ProcedureBarred: _barred,
    ev.ProcedureOverridden: _overridden,
    ev.DeviceIdentified: lambda state, _event: _settled(state),
    ev.ItemNoted: _item,
    ev.DelayFound: _delayed,
    ev.Tallied: _tallied,
    ev.Tested: _tested,
    ev.RoundBegun: _round,
    ev.DeviationsAccepted: _deviations_accepted,
    ev.DispositionChosen: _chosen,
    ev.Disposed: _disposed,
    **baths.APPLY,
    # It was confirmed, so nothing waits any more.
    ev.BathEmptied: lambda state, event: baths.APPLY[ev.BathEmptied](_settled(state), event),
}
