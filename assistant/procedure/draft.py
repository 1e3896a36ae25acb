"""Drafts: what was read of a component and its steps, with places, before the order is checked."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from assistant.procedure.finding import Mark
    from assistant.procedure.model import Component, Step


@dataclass(frozen=True, slots=True)
class StepDraft:
    """One step as read.

    Attributes:
        step: the step; stand-ins where something was wrong.
        mark: where it stands.
        needs: ids of the steps it waits for, with their places.
        contact: id of the bath in which the component is worked on or lies.
        prepares: id of the bath that this step fills or doses.
        measures: id of the bath whose temperature is read.
        soaks: True where the component lies in the bath for a time.
        first_rinse: True for the cool rinse before any detergent.
    """

    step: Step
    mark: Mark
    needs: tuple[tuple[str, Mark], ...] = ()
    contact: str | None = None
    prepares: str | None = None
    measures: str | None = None
    soaks: bool = False
    first_rinse: bool = False


@dataclass(frozen=True, slots=True)
class TrackDraft:
    """One component as read; its ``steps`` still carry their places."""

    component: Component
    mark: Mark
    steps: tuple[StepDraft, ...]
