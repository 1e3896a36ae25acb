"""What the bays are and whether a step may be done in its own: judgments, no commands."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.procedure.basin import Change, Place
from assistant.procedure.model import Role
from assistant.procedure.water_use import Purpose
from assistant.session import event as ev
from assistant.session.track import applies, basin, drained, find, present

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from datetime import datetime

    from assistant.procedure.basin import Basin
    from assistant.procedure.model import BayTask, Procedure, Step
    from assistant.session.state import State

READY = "ready"  # why a step that makes a bay ready is passed over


def crowded(
    procedure: Procedure, state: State, place: Place, component: str, *, alone: bool
) -> str:
    """The names of other parts over which a clock runs in that bay; "" where none is.

    Args:
        procedure: the session's.
        state: where it stands.
        place: the bay, and for what.
        component: who would use it.
        alone: whether parts at the same purpose are in the way too.
    """
    names = [
        procedure.component(dwell.component).name
        for dwell in state.running()
        if dwell.component not in {component, *state.absent}
        and (at := find(procedure, dwell.step).place) is not None
        and at.bay == place.bay
        and (alone or at.purpose is not place.purpose)
    ]
    return ", ".join(names)


def is_ready(state: State, place: Place) -> bool:
    """Whether the bay is as it must be; what prepares a bath fills it itself."""
    needed = basin(state, place).changes(place.purpose, place.content)
    return not needed or (place.purpose is Purpose.PREPARE and needed == (Change.FILL,))


def used(state: State, step: Step, place: Place, at: datetime) -> tuple[ev.Event, ...]:
    """What the bay is once the step used it; nothing where it stays what it is."""
    before = basin(state, place)
    after = before.used(place.purpose, place.content)
    return () if after == before else (_turned(at, place, step, (), after),)


def changed(
    procedure: Procedure, state: State, step: Step, task: BayTask, at: datetime
) -> tuple[ev.Event, ...]:
    """The bay is made ready; a bath that lay in it is gone."""
    before = basin(state, task.place)
    acts = task.needed(before)
    if not acts:
        return ()
    gone: tuple[ev.Event, ...] = ()
    if Change.DRAIN in acts and before.content in {bath.id for bath in procedure.baths}:
        gone = (given_up(procedure, state, before.content, at),)
    return (*gone, _turned(at, task.place, step, acts, before.changed(acts, task.place.content)))


def _turned(
    at: datetime, place: Place, step: Step, acts: Iterable[Change], now: Basin
) -> ev.BayTurned:
    changes = tuple(str(act) for act in acts)
    return ev.BayTurned(at, place.bay, step.id, changes, now.content, now.soil)


def given_up(procedure: Procedure, state: State, bath: str, at: datetime) -> ev.BathEmptied:
    """The end of a bath that was drained; its track begins anew where a part needs it still."""
    half_made = present(procedure, state, bath) is not None
    again = half_made or bath in _needed(procedure, state)
    steps = procedure.component(bath).steps if again else ()
    return ev.BathEmptied(at, bath, tuple(step.id for step in steps))


def lost(
    procedure: Procedure, state: State, steps: Iterable[Step], at: datetime
) -> tuple[ev.BathEmptied, ...]:
    """The drained baths that those steps need again: their tracks begin anew."""
    wanted = dict.fromkeys(step.bath for step in steps if step.bath)
    return tuple(
        ev.BathEmptied(at, bath, tuple(step.id for step in procedure.component(bath).steps))
        for bath in wanted
        if drained(procedure, state, bath)
    )


def _needed(procedure: Procedure, state: State) -> Iterator[str]:
    """The baths that a part still needs."""
    for component in procedure.components:
        gone = component.id in state.absent or component.id in state.disposed
        if component.role is not Role.PART or gone:
            continue
        for step in component.steps[state.position.get(component.id, 0) :]:
            if step.bath and applies(step, state):
                yield step.bath
