"""Questions about where the tracks stand, answered from procedure and state alone."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.procedure.model import (
    Act,
    Component,
    Dwell,
    DwellKind,
    LotTask,
    Procedure,
    ReadingTask,
    Step,
)
from assistant.session.command import Verb
from assistant.session.table import Phase, Stage, verbs

if TYPE_CHECKING:
    from datetime import datetime

    from assistant.session.state import Running, State

NO = "no"
YES = "yes"

START = {
    DwellKind.SOAK: Verb.START_SOAK,
    DwellKind.RINSE: Verb.START_RINSE,
    DwellKind.DRY: Verb.START_DRY,
}
_BEHIND = (Stage.DONE, Stage.SKIPPED)


def present(procedure: Procedure, state: State, component_id: str) -> Step | None:
    """The step that the component has before it; None where its track is finished."""
    steps = procedure.component(component_id).steps
    index = state.position.get(component_id, 0)
    return steps[index] if index < len(steps) else None


def stage(state: State, step: Step) -> Stage | None:
    """The stage of a step; None where it was not entered."""
    progress = state.progress.get(step.id)
    return None if progress is None else progress.stage


def find(procedure: Procedure, step_id: str) -> Step:
    """The step of that id.

    Raises:
        KeyError: there is none.
    """
    for component in procedure.components:
        for step in component.steps:
            if step.id == step_id:
                return step
    raise KeyError(step_id)


def blockers(procedure: Procedure, state: State, step: Step) -> tuple[Step, ...]:
    """The steps of other tracks that this one still waits for."""
    wanted = (find(procedure, need) for need in step.needs)
    return tuple(need for need in wanted if stage(state, need) not in _BEHIND)


def unfinished(procedure: Procedure, state: State) -> tuple[Component, ...]:
    """The components whose tracks have steps left, in the procedure's order."""
    return tuple(c for c in procedure.components if present(procedure, state, c.id) is not None)


def elsewhere(procedure: Procedure, state: State) -> Component | None:
    """Another component at which something can be done now: the first one."""
    for component in unfinished(procedure, state):
        step = present(procedure, state, component.id)
        if (
            component.id != state.focus
            and step is not None
            and stage(state, step) is not Stage.DWELLING
            and not blockers(procedure, state, step)
        ):
            return component
    return None


def elapsed_s(dwell: Running, at: datetime) -> float:
    """Seconds since the dwell began."""
    return (at - dwell.started_at).total_seconds()


def remaining_s(dwell: Running, at: datetime) -> float:
    """Seconds until the least time; negative once it is reached."""
    return dwell.least_s - elapsed_s(dwell, at)


def answers(step: Step) -> tuple[Verb, ...]:
    """The commands that do a ready step's task."""
    match step.task:
        case Act():
            return (Verb.NEXT,)
        case Dwell(kind=kind):
            return (START[kind],)
        case ReadingTask():
            return (Verb.READING,)
        case LotTask():
            return (Verb.LOT,)
    return (Verb.AFFIRM, Verb.DENY)


def sayable(procedure: Procedure, state: State) -> tuple[Verb, ...]:
    """What it makes sense to say now, the most useful first."""
    return tuple(verb for verb in _useful(procedure, state) if verb in verbs(state.phase))


def _useful(procedure: Procedure, state: State) -> tuple[Verb, ...]:
    always = (Verb.REPEAT, Verb.HOW_LONG, Verb.WHERE, Verb.ADVISE, Verb.HELP)
    if state.closed:
        return ()
    if state.phase is Phase.PAUSED:
        return (Verb.RESUME, *always)
    if state.phase is Phase.EMERGENCY:
        return (*((Verb.RESUME,) if _over(state) else ()), Verb.DENY, *always)
    if state.phase is Phase.CONFIRMING:
        return (Verb.AFFIRM, Verb.DENY, *always)
    leave = (Verb.SWITCH,) if elsewhere(procedure, state) else ()
    return (
        *_forward(procedure, state),
        *leave,
        Verb.GO_BACK,
        *always,
        Verb.SKIP,
        Verb.NOTE,
        Verb.PAUSE,
    )


def _over(state: State) -> bool:
    """Whether an emergency's flush has had its least time, or needs none."""
    return state.flushed or (state.emergency is not None and not state.emergency.flush_s)


def _forward(procedure: Procedure, state: State) -> tuple[Verb, ...]:
    step = present(procedure, state, state.focus)
    if step is None:
        return () if unfinished(procedure, state) else (Verb.SIGN_OFF,)
    progress = state.progress.get(step.id)
    if progress is None or progress.stage is Stage.DWELLING:
        return ()
    if progress.stage is Stage.BRIEFING:
        return (Verb.REPEAT,)
    if progress.stage is Stage.READY:
        return (*answers(step), Verb.NEXT) if progress.value == NO else answers(step)
    return (Verb.NEXT,)
