"""Questions about where the tracks stand, answered from procedure and state alone."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.procedure.basin import Basin, Place
from assistant.procedure.model import (
    Act,
    BayTask,
    Component,
    CountTask,
    Dwell,
    DwellKind,
    ElapsedTask,
    ExpiryTask,
    HandOnTask,
    IdentifyTask,
    InspectionTask,
    LotTask,
    Procedure,
    Question,
    ReadingTask,
    Role,
    Step,
    TallyKind,
    TallyTask,
    TestTask,
    When,
)
from assistant.session.command import Verb
from assistant.session.event_kind import ACCEPTABLE, DeviationKind
from assistant.session.state import NO
from assistant.session.table import Phase, Stage, verbs

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import datetime

    from assistant.session.event import DeviationNoted
    from assistant.session.state import Running, State

START = {
    DwellKind.SOAK: Verb.START_SOAK,
    DwellKind.RINSE: Verb.START_RINSE,
    DwellKind.DRY: Verb.START_DRY,
    DwellKind.HOLD: Verb.START_HOLD,
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


def applies(step: Step, state: State) -> bool:
    """Whether the step is to be done at all, as things stand."""
    given_up = step.id.partition(".")[0] in state.given_up
    if given_up and step.when is not When.ALWAYS and not isinstance(step.task, HandOnTask):
        return False
    if step.when is When.DELAYED and not state.delayed:
        return False
    return not isinstance(step.task, BayTask) or bool(
        step.task.needed(basin(state, step.task.place))
    )


def basin(state: State, place: Place) -> Basin:
    """What the bay of a place is now; one that nothing was done in is empty and clean."""
    return state.bays.get(place.bay, Basin())


def blockers(procedure: Procedure, state: State, step: Step) -> tuple[Step, ...]:
    """The steps of other tracks that this one still waits for.

    What did not arrive is not waited for, nor what has been handed on.
    """
    gone = {*state.absent, *state.disposed}
    waits = []
    for need in step.needs:
        other = find(procedure, need)
        if stage(state, other) in _BEHIND or need.partition(".")[0] in gone:
            continue
        waits.append(other)
    return tuple(waits)


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


# The commands that do a ready step's task, by the task's class; the likeliest first.
_ANSWERS: dict[type[object], tuple[Verb, ...]] = {
    Act: (Verb.NEXT,),
    BayTask: (Verb.NEXT,),
    ReadingTask: (Verb.READING,),
    ElapsedTask: (Verb.READING, Verb.UNKNOWN),
    LotTask: (Verb.LOT,),
    ExpiryTask: (Verb.EXPIRY,),
    Question: (Verb.AFFIRM, Verb.DENY),
    IdentifyTask: (Verb.DEVICE, Verb.SCAN),
    CountTask: (Verb.AFFIRM, Verb.MISSING, Verb.DAMAGED, Verb.SINGLE_USE),
    TestTask: (Verb.READING,),
    InspectionTask: (Verb.AFFIRM, Verb.NOTE),
    HandOnTask: (Verb.HAND_ON, Verb.CLEAN_AGAIN, Verb.HOLD, Verb.REPAIR),
}
_TALLIES = {TallyKind.PASS: Verb.PASS, TallyKind.FILL: Verb.FILL}


def answers(step: Step) -> tuple[Verb, ...]:
    """The commands that do a ready step's task."""
    match step.task:
        case Dwell(kind=kind):
            return (START[kind],)
        case TallyTask(kind=kind):
            return (_TALLIES[kind],)
    return _ANSWERS[type(step.task)]


def sayable(procedure: Procedure, state: State) -> tuple[Verb, ...]:
    """What it makes sense to say now to go on, the most useful first."""
    return _in_phase(_useful(procedure, state), state)


def besides(state: State) -> tuple[Verb, ...]:
    """What may be said besides, whatever is going on."""
    return () if state.closed else _in_phase(_BESIDES, state)


_BESIDES = (
    Verb.GO_BACK,
    Verb.REPEAT,
    Verb.HOW_LONG,
    Verb.SOAKING,
    Verb.WHERE,
    Verb.ADVISE,
    Verb.HUSH,
    Verb.PAUSE,
    Verb.SKIP,
    Verb.NOTE,
    Verb.SIGN_OFF,
    Verb.ABANDON,
    Verb.EMERGENCY,
)


def _in_phase(wanted: Iterable[Verb], state: State) -> tuple[Verb, ...]:
    known = verbs(state.phase)
    return tuple(verb for verb in wanted if verb in known)


def _useful(procedure: Procedure, state: State) -> tuple[Verb, ...]:
    if state.closed:
        return ()
    if state.phase is Phase.BARRED:
        return (Verb.OVERRIDE, Verb.ABANDON)
    if state.phase is Phase.PAUSED:
        return (Verb.RESUME,)
    if state.phase is Phase.EMERGENCY:
        return (*((Verb.RESUME,) if _over(state) else ()), Verb.DENY)
    if state.phase is Phase.CONFIRMING:
        return (Verb.AFFIRM, Verb.DENY)
    leave = (Verb.SWITCH,) if elsewhere(procedure, state) else ()
    return (*_forward(procedure, state), *leave, *_about_bath(procedure, state))


def bath_in_hand(procedure: Procedure, state: State) -> str:
    """Id of the bath that a word about a bath means; "" where none or several could be.

    The bath in focus, that of the present step, or the only one.
    """
    if not state.focus:
        return ""
    component = procedure.component(state.focus)
    if component.role is Role.BATH:
        return component.id
    step = present(procedure, state, state.focus)
    if step is not None and step.bath:
        return step.bath
    return procedure.baths[0].id if len(procedure.baths) == 1 else ""


def drained(procedure: Procedure, state: State, bath: str) -> bool:
    """Whether the bath was made in this session and its bay was drained since."""
    made = any(component.id == bath for component in procedure.components)
    return made and bath not in state.baths and present(procedure, state, bath) is None


def _about_bath(procedure: Procedure, state: State) -> tuple[Verb, ...]:
    """What can be said about the bath in hand."""
    bath = bath_in_hand(procedure, state)
    if not bath:
        return ()
    if bath in state.baths:
        return (Verb.FRESH_BATH, Verb.SPOIL)
    if bath in state.standing:
        return (Verb.KEEP_BATH,)
    return (Verb.FRESH_BATH,) if drained(procedure, state, bath) else ()


def _over(state: State) -> bool:
    """Whether an emergency's flush has had its least time, or needs none."""
    return state.flushed or (state.emergency is not None and not state.emergency.flush_s)


def _forward(procedure: Procedure, state: State) -> tuple[Verb, ...]:
    step = present(procedure, state, state.focus)
    if step is None:
        return _finished(procedure, state)
    progress = state.progress.get(step.id)
    if progress is None or progress.stage is Stage.DWELLING:
        return ()
    if progress.stage is Stage.BRIEFING:
        return (Verb.REPEAT,)
    if progress.stage is not Stage.READY:
        return (Verb.NEXT,)
    if isinstance(step.task, HandOnTask):
        return handing_on(procedure, state)
    if isinstance(step.task, IdentifyTask) and state.received:
        return (Verb.AFFIRM, *answers(step))
    return (*answers(step), Verb.NEXT) if progress.value == NO else answers(step)


def _finished(procedure: Procedure, state: State) -> tuple[Verb, ...]:
    """What can be said at a track that is done."""
    bath = procedure.component(state.focus).role is Role.BATH and state.focus in state.baths
    again = (Verb.READING, Verb.TAP_WATER) if bath else ()
    return again if unfinished(procedure, state) else (Verb.SIGN_OFF, *again)


def open_at(state: State, component: str) -> tuple[DeviationNoted, ...]:
    """The open deviations of a part."""
    return tuple(one for one in state.open if one.component == component)


def handing_on(procedure: Procedure, state: State) -> tuple[Verb, ...]:
    """What can be said about a part that is at its last step: nothing that is refused then."""
    part = procedure.component(state.focus)
    if part.id in state.choices:
        return (Verb.CONTAINER, Verb.SCAN)
    kinds = {one.kind for one in open_at(state, part.id)}
    rounds = part.rounds is not None and state.rounds.get(part.id, 1) < part.rounds.most
    again = (Verb.CLEAN_AGAIN,) if rounds and DeviationKind.DAMAGED not in kinds else ()
    if not kinds:
        return (Verb.HAND_ON, *again, Verb.HOLD, Verb.REPAIR)
    accept = (Verb.OVERRIDE,) if kinds <= ACCEPTABLE else ()
    return (*again, Verb.HOLD, Verb.REPAIR, *accept)
