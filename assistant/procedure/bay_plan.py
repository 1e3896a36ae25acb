"""A plan of the bays: which bay each use of water is laid into, and what is done to it before."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from assistant.procedure.basin import Change
from assistant.procedure.water_use import Purpose

if TYPE_CHECKING:
    from collections.abc import Iterator

    from assistant.procedure.water_use import Use


@dataclass(frozen=True, slots=True)
class Turn:
    """One step's use of water, and what its bay needs before it.

    Attributes:
        step: the step's id.
        short: its cue, as spoken.
        use: what it does with water.
        bay: the bay's name; "" for a tap with a drain of its own.
        changes: in order.
        content: as said: "with treated water", "for the detergent bath"; "" for an empty bay.
        holds: what the bay must hold (``basin.Place.content``).
    """

    step: str
    short: str
    use: Use
    bay: str
    changes: tuple[Change, ...]
    content: str = ""
    holds: str = ""


@dataclass(frozen=True, slots=True)
class Plan:
    """Every use in an order that the bays allow.

    Attributes:
        turns: in order.
        changes: how often a used bay is given another use.
        proven: whether no plan has fewer; False where there were too many to look at.
    """

    turns: tuple[Turn, ...]
    changes: int
    proven: bool = True


@dataclass(frozen=True, slots=True)
class Impossible:
    """Why the uses cannot be laid out, in sentences for showing; never empty."""

    reasons: tuple[str, ...]


def describe(plan: Plan | Impossible) -> tuple[str, ...]:
    """The plan in sentences, as shown; the reasons where there is none."""
    return plan.reasons if isinstance(plan, Impossible) else tuple(_sentences(plan))


def _sentences(plan: Plan) -> Iterator[str]:
    for turn in plan.turns:
        for change in turn.changes:
            filled = f" {turn.content}" if change is Change.FILL else ""
            yield f"{change.capitalize()} {turn.bay}{filled}."
        if turn.use.purpose is not Purpose.PREPARE:
            place = f"in {turn.bay}" if turn.bay else f"at the {turn.use.purpose.water} water tap"
            yield f"{turn.short[:1].upper()}{turn.short[1:]}, {place}."
