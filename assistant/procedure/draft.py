"""Drafts: what was read of a component and its steps, with places, before the order is checked."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from assistant.procedure.finding import START

if TYPE_CHECKING:
    from assistant.procedure.finding import Mark
    from assistant.procedure.model import Component, Method, Step


@dataclass(frozen=True, slots=True)
class StepDraft:
    """One step as read.

    Attributes:
        step: the step; stand-ins where something was wrong.
        mark: where it stands.
        needs: ids of the steps it waits for, with their places.
        contact: id of the bath whose detergent the component meets; None for none.
        methods: what is done to the component, that it may not bear.
        lumen: id of the lumen that is cleaned; None for none.
        made: whether it is made by the reader, beside the step that the sheet writes.
    """

    step: Step
    mark: Mark
    needs: tuple[tuple[str, Mark], ...] = ()
    contact: str | None = None
    methods: frozenset[Method] = frozenset()
    lumen: str | None = None
    made: bool = False


@dataclass(frozen=True, slots=True)
class TrackDraft:
    """One component as read; its ``steps`` still carry their places.

    Attributes:
        component: as read.
        mark: where its id stands.
        steps: in order.
        never: where the methods stand that it does not bear; its own place where it
            bears all.
    """

    component: Component
    mark: Mark
    steps: tuple[StepDraft, ...]
    never: Mark = START

    @property
    def own(self) -> tuple[StepDraft, ...]:
        """The steps that the sheet writes itself."""
        return tuple(draft for draft in self.steps if not draft.made)
