"""Choosing some components of a device, where the others are not at hand."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Collection

    from assistant.procedure.model import Procedure


class ChoiceError(Exception):
    """Components that cannot be cleaned without others; the message says which."""


def only(procedure: Procedure, chosen: Collection[str]) -> Procedure:
    """The procedure with the chosen components' tracks only; all of them where none is named.

    Args:
        procedure: the whole procedure.
        chosen: ids or spoken names.

    Raises:
        ChoiceError: a name is unknown, or a chosen track waits for one left out.
    """
    if not chosen:
        return procedure
    wanted = {name.casefold() for name in chosen}
    kept = []
    for component in procedure.components:
        names = {component.id.casefold(), component.name.casefold()}
        names |= {name.casefold() for name in component.also}
        if names & wanted:
            kept.append(component)
            wanted -= names
    if wanted:
        known = ", ".join(component.name for component in procedure.components)
        raise ChoiceError(f"no component {', '.join(sorted(wanted))} here; there are: {known}")
    steps = {step.id for component in kept for step in component.steps}
    for component in kept:
        for step in component.steps:
            for need in step.needs:
                if need not in steps:
                    other = need.partition(".")[0]
                    raise ChoiceError(
                        f"the {component.name} waits for {need}; choose the component {other} too"
                    )
    return replace(procedure, components=tuple(kept))
