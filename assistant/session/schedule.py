"""What to do next, so that waiting is used and no soak passes its most time.

One pair of hands, and dwells that run by themselves.  A dwell is two moves of
the hands, starting it and lifting it; the lifting begins between the least and
the most time after the start.  What counts, in turn: how many dwells overrun,
by how many seconds, when all is finished; ``session.hands`` finds the order.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from assistant.procedure.model import Act, Dwell, DwellKind
from assistant.procedure.quantity import duration_text
from assistant.session.effect import Prompt, Slot
from assistant.session.hands import Move, Op, best_order, linked
from assistant.session.track import blockers, find

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime

    from assistant.procedure.model import Component, Procedure, Step
    from assistant.session.state import Running, State


@dataclass(frozen=True, slots=True)
class HandsOn:
    """How long the hands are busy, whole seconds.

    The defaults are our own guesses, no source; measured times belong in ``steps``.

    Attributes:
        act_s: something to do with the hands.
        say_s: a reading, a lot or a question, with its read-back.
        start_s: laying in, until the cue that starts the clock.
        lift_s: lifting out; it begins between the least and the most time.
        steps: by step id: the whole step, or the start of its dwell.
        attended: dwells that hold the hands until their least time (a rinse in
            the hand); they are not left alone.
    """

    act_s: int = 45
    say_s: int = 20
    start_s: int = 15
    lift_s: int = 10
    steps: Mapping[str, int] = field(default_factory=dict)
    attended: frozenset[DwellKind] = frozenset()

    def of(self, step: Step) -> int:
        """Seconds for the step; for the start where it is a dwell."""
        if step.id in self.steps:
            return self.steps[step.id]
        match step.task:
            case Act():
                return self.act_s
            case Dwell():
                return self.start_s
        return self.say_s


@dataclass(frozen=True, slots=True)
class Proposal:
    """One move of the hands.

    Attributes:
        component: its component's id.
        step: its step's id.
        move: doing the step, or starting or lifting its dwell.
        start_s: seconds from now; more than 0 for the first one means waiting.
    """

    component: str
    step: str
    move: Move
    start_s: int


@dataclass(frozen=True, slots=True)
class Overrun:
    """A running dwell that no order keeps, with the seconds past its most time."""

    component: str
    step: str
    over_s: int


@dataclass(frozen=True, slots=True)
class Schedule:
    """The proposed order of all that is left.

    Attributes:
        proposals: in order; empty where nothing is left.
        reason: why the first one comes first, as a prompt; None where nothing is left.
        finish_s: seconds from now until everything is done.
        overruns: the dwells that cannot be kept.
        proven: whether no order is better; False where the search was cut short.
    """

    proposals: tuple[Proposal, ...]
    reason: Prompt | None
    finish_s: int
    overruns: tuple[Overrun, ...]
    proven: bool


def propose(
    procedure: Procedure, state: State, at: datetime, hands_on: HandsOn | None = None
) -> Schedule:
    """The best order of all that is left, from now on.

    Args:
        procedure: checked, so that no step waits for itself.
        state: where the session stands.
        at: now; running dwells are reckoned from it.
        hands_on: how long the hands are busy; the defaults where None.
    """
    if state.closed:
        return Schedule((), None, 0, (), proven=True)
    best = best_order(_tracks(procedure, state, at, hands_on or HandsOn()), state.focus)
    proposals = tuple(Proposal(op.component, op.step, op.move, start) for op, start in best.moves)
    overruns = tuple(
        Overrun(op.component, op.step, start - op.due)
        for op, start in best.moves
        if op.due is not None and start > op.due
    )
    reason = _reason(procedure, state, at, proposals[0]) if proposals else None
    return Schedule(proposals, reason, best.end_s, overruns, best.proven)


def next_proposal(
    procedure: Procedure, state: State, at: datetime, hands_on: HandsOn | None = None
) -> tuple[Proposal, Prompt] | None:
    """What to do next and why; None where nothing is left.  Arguments as for ``propose``."""
    schedule = propose(procedure, state, at, hands_on)
    if schedule.reason is None:
        return None
    return schedule.proposals[0], schedule.reason


def _tracks(
    procedure: Procedure, state: State, at: datetime, hands_on: HandsOn
) -> tuple[tuple[Op, ...], ...]:
    """All moves left, by component, with the least times before and behind each."""
    tracks: list[list[Op]] = []
    waits: list[tuple[int, int, str]] = []
    places: dict[str, tuple[int, int]] = {}
    for track, component in enumerate(procedure.components):
        ops: list[Op] = []
        for step in component.steps[state.position.get(component.id, 0) :]:
            waits += [(track, len(ops), need.id) for need in blockers(procedure, state, step)]
            ops += _moves(track, component, step, state, at, hands_on)
            places[step.id] = (track, len(ops))
        tracks.append(ops)
    for track, index, need in waits:
        op = tracks[track][index]
        tracks[track][index] = replace(op, needs=(*op.needs, places[need]))
    return linked(tracks)


def _moves(
    track: int, component: Component, step: Step, state: State, at: datetime, hands_on: HandsOn
) -> tuple[Op, ...]:
    progress, task = state.progress.get(step.id), step.task
    do = Op(track, component.id, step.id, Move.DO, hands_on.of(step))
    if progress is not None and progress.dwell is not None:
        return (_lifting(do, progress.dwell, at, hands_on),)
    if not isinstance(task, Dwell):
        return (do,)
    if task.kind in hands_on.attended:
        return (replace(do, move=Move.START, hands=do.hands + task.least_s),)
    lift = replace(do, move=Move.LIFT, hands=hands_on.lift_s, least=task.least_s, most=task.most_s)
    return (replace(do, move=Move.START), lift)


def _lifting(do: Op, dwell: Running, at: datetime, hands_on: HandsOn) -> Op:
    left = max(0, math.ceil((dwell.least_at - at).total_seconds()))
    most_at = dwell.most_at
    due = None if most_at is None else math.floor((most_at - at).total_seconds())
    if dwell.kind in hands_on.attended:
        due = None if due is None else due - left
        return replace(do, move=Move.LIFT, hands=left + hands_on.lift_s, due=due)
    return replace(do, move=Move.LIFT, hands=hands_on.lift_s, release=left, due=due)


def _reason(procedure: Procedure, state: State, at: datetime, first: Proposal) -> Prompt:
    """Why the first move comes first: the most pressing thing that is true of it."""
    step = find(procedure, first.step)
    slots = (
        Slot("component", procedure.component(first.component).name),
        Slot("step", step.short),
    )
    if first.start_s > 0:
        return Prompt("propose_wait", (*slots, Slot("left", duration_text(first.start_s))))
    progress = state.progress.get(step.id)
    dwell = None if progress is None else progress.dwell
    if dwell is not None:
        return _reason_to_lift(dwell, at, slots)
    if isinstance(step.task, Dwell):
        least = duration_text(step.task.least_s)
        return Prompt("propose_start", (*slots, Slot("least", least)))
    waiting = [
        component.name
        for component in procedure.components
        for other in component.steps
        if first.step in other.needs
    ]
    if waiting:
        return Prompt("propose_needed", (*slots, Slot("other", waiting[0])))
    for running in state.running():
        left = math.ceil((running.least_at - at).total_seconds())
        if left > 0:
            other = Slot("other", procedure.component(running.component).name)
            return Prompt("propose_meanwhile", (*slots, other, Slot("left", duration_text(left))))
    return Prompt("propose_next", slots)


def _reason_to_lift(dwell: Running, at: datetime, slots: tuple[Slot, ...]) -> Prompt:
    if dwell.most_at is None:
        return Prompt("propose_lift", slots)
    spare = math.floor((dwell.most_at - at).total_seconds())
    if spare < 0:
        return Prompt("propose_lift_overdue", (*slots, Slot("over", duration_text(-spare))))
    spare_text = duration_text(max(1, spare))
    return Prompt("propose_lift_in_time", (*slots, Slot("left", spare_text)))
