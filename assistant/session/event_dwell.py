"""Soaks, rinses, dryings and holds: their beginning, their limits, their end."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class DwellStarted:
    """A soak, rinse or drying began; its due times are facts from now on."""

    at: datetime
    component: str
    step: str
    kind: str
    least_s: int
    most_s: int | None
    milestones_s: tuple[int, ...]  # seconds left of the least time, longest first
    bath: str = ""


@dataclass(frozen=True, slots=True)
class DwellMilestone:
    """A stated part of the least time is left."""

    at: datetime
    component: str
    step: str
    kind: str
    remaining_s: int


@dataclass(frozen=True, slots=True)
class DwellRipe:
    """The least time was reached at ``due_at``."""

    at: datetime
    component: str
    step: str
    kind: str
    due_at: datetime
    left_s: int | None  # until the most time, at ``at``; None where there is none


@dataclass(frozen=True, slots=True)
class DwellOverdue:
    """The most time was passed at ``due_at``."""

    at: datetime
    component: str
    step: str
    kind: str
    due_at: datetime


@dataclass(frozen=True, slots=True)
class DwellEnded:
    """A dwell ended after ``seconds``; ``counts`` is False where it was undone."""

    at: datetime
    component: str
    step: str
    kind: str
    seconds: float
    counts: bool
