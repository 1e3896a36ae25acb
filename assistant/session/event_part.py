"""What a part went through: counted passes, tests, rounds, and where it went."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from assistant.session.event_kind import Disposition


@dataclass(frozen=True, slots=True)
class Tallied:
    """One more brush pass or syringe fill.

    Attributes:
        at: when.
        component: the part.
        step: its step.
        kind: "pass" or "fill".
        result: "clean" or "soiled" for a pass; "" for a fill.
        count: how many so far.
        left: how many are still to be made at least.
        working: how that was got.
    """

    at: datetime
    component: str
    step: str
    kind: str
    result: str
    count: int
    left: int
    working: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Tested:
    """A test came to an outcome: "pass", "alert", "fail" or "void"."""

    at: datetime
    component: str
    step: str
    of: str
    value: str
    unit: str
    outcome: str
    working: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PartGivenUp:
    """A part has failed for good: it is only handed on, to hold or repair."""

    at: datetime
    component: str


@dataclass(frozen=True, slots=True)
class RoundBegun:
    """A part is cleaned again.

    Attributes:
        at: when.
        component: the part.
        number: of the round, from 2 on.
        most: rounds in all.
        index: of the step that it begins with.
        steps: ids of the steps that are done again.
        reason: why.
    """

    at: datetime
    component: str
    number: int
    most: int
    index: int
    steps: tuple[str, ...]
    reason: str


@dataclass(frozen=True, slots=True)
class DeviationsAccepted:
    """A lead's decision on a part's open deviations, failed tests excepted."""

    at: datetime
    component: str
    reason: str
    count: int


@dataclass(frozen=True, slots=True)
class DispositionChosen:
    """Where a part is to go; its container is still to be named."""

    at: datetime
    component: str
    disposition: Disposition
    reason: str


@dataclass(frozen=True, slots=True)
class Disposed:
    """Where a part went.

    Attributes:
        at: when.
        component: the part.
        disposition: where it goes.
        reason: why.
        container: its code.
        label: text of the code on its label, which leads back to the session.
    """

    at: datetime
    component: str
    disposition: Disposition
    reason: str
    container: str
    label: str
