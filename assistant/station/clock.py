"""Clocks: the real one, which neither steps nor sleeps, and one that is moved by hand."""

from __future__ import annotations

import time
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Protocol


class Clock(Protocol):
    """Tells the time."""

    def now(self) -> datetime:
        """The present moment, aware, UTC."""
        ...


def _elapsed_s() -> float:
    """Seconds since some fixed moment, a suspended machine's sleep included.

    The monotonic clock stands still in suspend on Linux, and a soak does not.
    """
    boottime = getattr(time, "CLOCK_BOOTTIME", None)
    return time.monotonic() if boottime is None else time.clock_gettime(boottime)


@dataclass(frozen=True, slots=True)
class RealClock:
    """Wall time read once, then carried on by elapsed time.

    So a correction of the machine's clock, or a change of its time zone, in
    mid-session makes no soak longer or shorter.
    """

    wall: datetime = field(default_factory=lambda: datetime.now(UTC))
    base_s: float = field(default_factory=_elapsed_s)

    def now(self) -> datetime:
        """The present moment, aware, UTC."""
        return self.wall + timedelta(seconds=_elapsed_s() - self.base_s)


@dataclass(slots=True)
class VirtualClock:
    """A clock that goes only where it is moved to."""

    moment: datetime

    def now(self) -> datetime:
        """Where it stands."""
        return self.moment

    def move_to(self, moment: datetime) -> None:
        """Move on; a moment in the past leaves it where it stands."""
        self.moment = max(self.moment, moment)
