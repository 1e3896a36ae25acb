"""An emergency and its flush clock."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class EmergencyCalled:
    """Somebody was splashed or hurt; ``flush_s`` of flushing begin, 0 for none.

    Attributes:
        at: when.
        body: the part of the body, as spoken.
        flush_s: seconds of flushing.
        milestones_s: seconds left at which the flush is announced, longest first.
    """

    at: datetime
    body: str
    flush_s: int
    milestones_s: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class FlushMilestone:
    """A stated part of the flush is left."""

    at: datetime
    remaining_s: int


@dataclass(frozen=True, slots=True)
class FlushDone:
    """The least time of the flush was reached at ``due_at``."""

    at: datetime
    due_at: datetime


@dataclass(frozen=True, slots=True)
class EmergencyEnded:
    """Work goes on; ``false_alarm`` where there was nothing to flush."""

    at: datetime
    seconds: float
    false_alarm: bool
