"""Choosing some components of a device, where the others are not at hand."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.procedure.model import CountTask, Role

if TYPE_CHECKING:
    from collections.abc import Collection

    from assistant.procedure.model import Component, Procedure, Step


class ChoiceError(Exception):
    """Components that cannot be cleaned without others; the message says which."""


def only(procedure: Procedure, chosen: Collection[str]) -> Procedure:
    """The procedure with the chosen parts' tracks only; all of them where none is named.

    The intake stays, and the baths that the chosen parts use.

    Args:
        procedure: the whole procedure.
        chosen: ids or spoken names.

    Raises:
        ChoiceError: a name is unknown, or a chosen track waits for one left out.
    """
    if not chosen:
        return procedure
    wanted = {name.casefold() for name in chosen}
    kept: set[str] = set()
    for component in procedure.components:
        names = {name.casefold() for name in (component.id, component.name, *component.also)}
        if names & wanted:
            kept.add(component.id)
            wanted -= names
    if wanted:
        known = ", ".join(part.name for part in procedure.parts)
        raise ChoiceError(f"no component {', '.join(sorted(wanted))} here; there are: {known}")
    kept |= {c.id for c in procedure.components if c.role is Role.INTAKE}
    kept |= {step.bath for part in procedure.parts if part.id in kept for step in part.steps}
    components = tuple(_with(c, kept) for c in procedure.components if c.id in kept)
    steps = {step.id for component in components for step in component.steps}
    for component in components:
        for step in component.steps:
            for need in step.needs:
                if need not in steps:
                    other = need.partition(".")[0]
                    raise ChoiceError(
                        f"the {component.name} waits for {need}; choose the component {other} too"
                    )
    baths = tuple(bath for bath in procedure.baths if bath.id in kept)
    return replace(procedure, components=components, baths=baths)


def _with(component: Component, kept: Collection[str]) -> Component:
    """The component; where it counts what arrived, only what was chosen."""
    return replace(component, steps=tuple(_counting(step, kept) for step in component.steps))


def _counting(step: Step, kept: Collection[str]) -> Step:
    if not isinstance(step.task, CountTask):
        return step
    items = tuple(item for item in step.task.items if item.component in kept)
    return replace(step, task=CountTask(items))
