"""Where a session stands: the fold of its events, and nothing else."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from assistant.session.table import Phase, Stage

if TYPE_CHECKING:
    from collections.abc import Mapping

    from assistant.session.event import (
        ConfirmationAsked,
        DeviationNoted,
        EmergencyCalled,
        ProblemNoted,
    )


@dataclass(frozen=True, slots=True)
class Running:
    """A dwell that was started and not ended.

    Attributes:
        component: its component's id.
        step: its step's id.
        kind: "soak", "rinse" or "dry".
        started_at: when the cue was spoken.
        least_s: the least time, seconds.
        most_s: the most time, seconds; None where there is none.
        milestones_s: seconds left at which it is still to be announced.
    """

    component: str
    step: str
    kind: str
    started_at: datetime
    least_s: int
    most_s: int | None
    milestones_s: tuple[int, ...]

    @property
    def least_at(self) -> datetime:
        """When the least time is reached."""
        return self.started_at + timedelta(seconds=self.least_s)

    @property
    def most_at(self) -> datetime | None:
        """When the most time is passed; None where there is none."""
        return None if self.most_s is None else self.started_at + timedelta(seconds=self.most_s)


@dataclass(frozen=True, slots=True)
class Progress:
    """Where one step stands.

    Attributes:
        stage: its stage.
        due: ids of its cautions that were not yet heard to their end.
        dwell: its dwell while that runs.
        value: its accepted value or answer; "" where there is none.
    """

    stage: Stage
    due: frozenset[str] = frozenset()
    dwell: Running | None = None
    value: str = ""


@dataclass(frozen=True, slots=True)
class State:
    """Where the session stands.

    Attributes:
        seq: how many events were folded.
        operator: who works.
        phase: the session's phase.
        focus: id of the component in hand; "" before the first step.
        position: index of each begun track's present step; the track's length
            when it is finished.
        progress: what was entered, by step id.
        since: when the present question (a step, a read-back) was put; what was
            said before it does not answer it.
        pending: what waits for a yes or a no.
        emergency: the one that is on; its milestones are those still to come.
        flushed: whether its flush has reached its least time.
        deviations: in order.
        problems: in order.
        misheard: utterances not understood since the last one that was.
    """

    seq: int = 0
    operator: str = ""
    phase: Phase = Phase.WORKING
    focus: str = ""
    position: Mapping[str, int] = field(default_factory=dict)
    progress: Mapping[str, Progress] = field(default_factory=dict)
    since: datetime | None = None
    pending: ConfirmationAsked | None = None
    emergency: EmergencyCalled | None = None
    flushed: bool = False
    deviations: tuple[DeviationNoted, ...] = ()
    problems: tuple[ProblemNoted, ...] = ()
    misheard: int = 0

    def running(self) -> tuple[Running, ...]:
        """All running dwells, the one that is first due first."""
        dwells = [p.dwell for p in self.progress.values() if p.dwell is not None]
        return tuple(sorted(dwells, key=lambda dwell: dwell.least_at))

    @property
    def closed(self) -> bool:
        """Whether nothing more can happen."""
        return self.phase in (Phase.SIGNED_OFF, Phase.ABANDONED)
