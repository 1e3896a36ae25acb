"""What to do next, so that waiting is used and no soak passes its most time.

One pair of hands, and dwells that run by themselves.  A dwell is two moves of
the hands, starting it and lifting it; the lifting begins between the least and
the most time after the start, and is planned so early that some time to spare
is left, for whoever is slower than was reckoned.  A dwell that is held in the
hands is one move: nothing else is done meanwhile.  What counts, in turn: how
many dwells overrun, by how many seconds, how much of the time to spare is lost,
when all is finished; ``session.hands`` finds the order.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from assistant.procedure.model import Act, BayTask, Dwell, DwellKind, InspectionTask, TallyTask
from assistant.procedure.quantity import duration_text
from assistant.session.effect import Prompt, Slot
from assistant.session.hands import Move, Op, best_order, linked
from assistant.session.track import applies, blockers, find

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime

    from assistant.procedure.model import Component, Procedure, Step
    from assistant.session.hands import Tracks
    from assistant.session.state import Running, State


@dataclass(frozen=True, slots=True)
class HandsOn:
    """How long the hands are busy, whole seconds.

    The defaults are our own guesses, no source; measured times belong in ``steps``.

    Attributes:
        act_s: something to do with the hands.
        say_s: a reading, a lot, a code or a question, with its read-back.
        look_s: an inspection through the magnifier.
        once_s: one brush pass, or one syringe fill.
        start_s: laying in, until the cue that starts the clock.
        lift_s: lifting out; it begins between the least and the most time.
        spare_s: time kept free before a most time, but never more than half of
            what lies between least and most: as long as a thing to do and more, so
            that what is begun just before the lifting still fits.
        steps: by step id: the whole step, or the start of its dwell.
        held_s: by kind of dwell, how long one is held in the hands; a longer one
            is left to a fixture.  A rinse is held under the water and a drying
            under the air line: nobody stands there for longer.  Pressure is
            watched however long it is on.  A soak lies by itself.
    """

    act_s: int = 45
    say_s: int = 20
    look_s: int = 60
    once_s: int = 10
    start_s: int = 15
    lift_s: int = 10
    spare_s: int = 60
    steps: Mapping[str, int] = field(default_factory=dict)
    held_s: Mapping[DwellKind, int] = field(
        default_factory=lambda: {
            DwellKind.RINSE: 180,
            DwellKind.DRY: 180,
            DwellKind.HOLD: 24 * 3600,
        }
    )

    def of(self, step: Step, done: int = 0) -> int:
        """Seconds for the step; for the start where it is a dwell.

        Args:
            step: which.
            done: brush passes or syringe fills made already.
        """
        if step.id in self.steps:
            return self.steps[step.id]
        match step.task:
            case Act() | BayTask():
                return self.act_s
            case Dwell():
                return self.start_s
            case TallyTask(least=least):
                return self.say_s + self.once_s * max(0, least - done)
            case InspectionTask():
                return self.look_s
        return self.say_s

    def holds(self, step: Step) -> bool:
        """Whether the step is a dwell in the hands; one in a filled bay lies by itself."""
        task = step.task
        standing = step.use is not None and step.use.standing
        return (
            isinstance(task, Dwell)
            and not standing
            and task.least_s <= self.held_s.get(task.kind, 0)
        )

    def spare(self, least_s: int, most_s: int) -> int:
        """Seconds kept free before a dwell's most time."""
        return min(self.spare_s, (most_s - least_s) // 2)


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
    hands_on = hands_on or HandsOn()
    tracks = _tracks(procedure, state, at, hands_on)
    best = best_order(_held_first(tracks, procedure, state, hands_on), state.focus)
    if best.late > (0, 0):
        # What is in the hands must not make overrun what lies elsewhere.
        free = best_order(tracks, state.focus)
        best = free if free.late < best.late else best
    proposals = tuple(Proposal(op.component, op.step, op.move, start) for op, start in best.moves)
    overruns = tuple(
        Overrun(op.component, op.step, start - op.due)
        for op, start in best.moves
        if op.due is not None and start > op.due
    )
    reason = None
    if proposals:
        idle = not any(ops and ops[0].head == 0 for ops in tracks)
        reason = _reason(procedure, state, at, proposals[0], idle=idle)
    return Schedule(proposals, reason, best.end_s, overruns, best.proven)


def next_proposal(
    procedure: Procedure, state: State, at: datetime, hands_on: HandsOn | None = None
) -> tuple[Proposal, Prompt] | None:
    """What to do next and why; None where nothing is left.  Arguments as for ``propose``."""
    schedule = propose(procedure, state, at, hands_on)
    if schedule.reason is None:
        return None
    return schedule.proposals[0], schedule.reason


def _tracks(procedure: Procedure, state: State, at: datetime, hands_on: HandsOn) -> Tracks:
    """All moves left, by component, with the least times before and behind each."""
    tracks: list[list[Op]] = []
    waits: list[tuple[int, int, str]] = []
    places: dict[str, tuple[int, int]] = {}
    for track, component in enumerate(procedure.components):
        ops: list[Op] = []
        for step in component.steps[state.position.get(component.id, 0) :]:
            if applies(step, state):
                waits += [(track, len(ops), need.id) for need in blockers(procedure, state, step)]
                ops += _moves(track, component, step, state, at, hands_on)
            if ops:
                places[step.id] = (track, len(ops))
        tracks.append(ops)
    for track, index, need in waits:
        if need in places:
            op = tracks[track][index]
            tracks[track][index] = replace(op, needs=(*op.needs, places[need]))
    return linked(tracks)


def _held_first(tracks: Tracks, procedure: Procedure, state: State, hands_on: HandsOn) -> Tracks:
    """The tracks where all else waits for the dwell that is in the hands, if one is.

    It is in them while its component is in focus: who turns to another one has left it.
    """
    dwells = {dwell.component: find(procedure, dwell.step) for dwell in state.running()}
    if state.focus not in dwells or not hands_on.holds(dwells[state.focus]):
        return tracks
    held = [component.id for component in procedure.components].index(state.focus)
    return linked(
        (replace(ops[0], needs=(*ops[0].needs, (held, 1))), *ops[1:])
        if ops and track != held
        else ops
        for track, ops in enumerate(tracks)
    )


def _moves(
    track: int, component: Component, step: Step, state: State, at: datetime, hands_on: HandsOn
) -> tuple[Op, ...]:
    progress, task = state.progress.get(step.id), step.task
    done = 0 if progress is None else progress.count
    do = Op(track, component.id, step.id, Move.DO, hands_on.of(step, done))
    if not isinstance(task, Dwell):
        return (do,)
    if progress is not None and progress.dwell is not None:
        held = component.id == state.focus and hands_on.holds(step)
        return (_lifting(do, progress.dwell, at, hands_on, held=held),)
    if hands_on.holds(step):
        hands = do.hands + task.least_s + hands_on.lift_s
        return (replace(do, move=Move.START, hands=hands),)
    most = task.most_s
    if most is not None:
        most -= hands_on.spare(task.least_s, most)
    lift = replace(do, move=Move.LIFT, hands=hands_on.lift_s, least=task.least_s, most=most)
    return (replace(do, move=Move.START), lift)


def _lifting(do: Op, dwell: Running, at: datetime, hands_on: HandsOn, *, held: bool) -> Op:
    left = max(0, math.ceil((dwell.least_at - at).total_seconds()))
    lift = replace(do, move=Move.LIFT, hands=hands_on.lift_s)
    if dwell.most_at is not None and dwell.most_s is not None:
        due = math.floor((dwell.most_at - at).total_seconds())
        lift = replace(lift, due=due, spare=hands_on.spare(dwell.least_s, dwell.most_s))
    if not held:
        return replace(lift, release=left)
    due_at = None if lift.due is None else lift.due - left
    return replace(lift, hands=left + hands_on.lift_s, due=due_at)


def _reason(
    procedure: Procedure, state: State, at: datetime, first: Proposal, *, idle: bool
) -> Prompt:
    """Why the first move comes first: the most pressing thing that is true of it.

    Args:
        procedure: whose steps.
        state: where the session stands.
        at: now.
        first: the first move.
        idle: whether no move could begin now.
    """
    step = find(procedure, first.step)
    slots = (
        Slot("component", procedure.component(first.component).name),
        Slot("step", step.short),
    )
    progress = state.progress.get(step.id)
    dwell = None if progress is None else progress.dwell
    if first.start_s > 0:
        key = "propose_wait" if idle else "propose_stay_free"
        key += "" if dwell is None else "_to_end"
        return Prompt(key, (*slots, Slot("left", duration_text(first.start_s))))
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
    left = math.ceil((dwell.least_at - at).total_seconds())
    if left > 0:
        return Prompt("propose_hold", (*slots, Slot("left", duration_text(left))))
    if dwell.most_at is None:
        return Prompt("propose_lift", slots)
    spare = math.floor((dwell.most_at - at).total_seconds())
    if spare < 0:
        return Prompt("propose_lift_overdue", (*slots, Slot("over", duration_text(-spare))))
    spare_text = duration_text(max(1, spare))
    return Prompt("propose_lift_in_time", (*slots, Slot("left", spare_text)))
