"""The uses of water in a procedure: those that its steps state, and those that they imply."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.procedure.model import Dwell, DwellKind
from assistant.procedure.water_use import Purpose, Use

if TYPE_CHECKING:
    from assistant.procedure.model import Component, Procedure, Step


def uses_of(procedure: Procedure) -> dict[str, Use]:
    """The use of water of each step that has one, by step id.

    A step's own word counts.  Where it says nothing, a step at a bath uses that bath,
    be it that a cloth is wetted in it, and a timed rinse is a first rinse before the
    first bath of its track, the final rinse where no other rinse follows, else a rinse.
    """
    uses: dict[str, Use] = {}
    for component in procedure.components:
        uses |= _track(component)
    return uses


def wiped(step: Step) -> bool:
    """Whether the part is wiped with a cloth from the bath, and does not lie in it itself."""
    return bool(step.bath) and step.use is None and not isinstance(step.task, Dwell)


def _track(component: Component) -> dict[str, Use]:
    known = {step.id: use for step in component.steps if (use := _known(step)) is not None}
    places = [
        index
        for index, step in enumerate(component.steps)
        if step.id in known and known[step.id].bath
    ]
    open_ = [index for index, step in enumerate(component.steps) if _open(step, known)]
    rinsed = [
        index
        for index, step in enumerate(component.steps)
        if step.id in known and not known[step.id].bath
    ]
    found = {}
    for index in open_:
        first = bool(places) and index < places[0]
        last = index == max([*open_, *rinsed]) and (not places or index > places[-1])
        purpose = Purpose.FINAL_RINSE if last else Purpose.RINSE
        found[index] = Use(Purpose.FIRST_RINSE if first else purpose)
    return known | {component.steps[index].id: use for index, use in found.items()}


def _known(step: Step) -> Use | None:
    """What the step states of itself."""
    if step.use is not None:
        return step.use
    bath = step.task.bath if isinstance(step.task, Dwell) else None
    bath = bath or step.bath
    return Use(Purpose.BATH, bath) if bath else None


def _open(step: Step, known: dict[str, Use]) -> bool:
    rinse = isinstance(step.task, Dwell) and step.task.kind is DwellKind.RINSE
    return rinse and step.id not in known
