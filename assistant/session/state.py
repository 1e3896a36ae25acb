"""Where a session stands: the fold of its events, and nothing else."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from assistant.session.table import Phase, Stage

if TYPE_CHECKING:
    from collections.abc import Mapping

    from assistant.procedure.basin import Basin
    from assistant.session.event import (
        BathStood,
        ConfirmationAsked,
        DeviationNoted,
        Disposed,
        DispositionChosen,
        EmergencyCalled,
        ProblemNoted,
    )


@dataclass(frozen=True, slots=True)
class Measured:
    """One temperature of a bath, as it was spoken."""

    at: datetime
    value: str
    unit: str


@dataclass(frozen=True, slots=True)
class BathNow:
    """A bath since its detergent was added.

    Attributes:
        made_at: when it was added.
        uses: parts that it served before this session.
        served: ids of the parts that it served in this one.
        lot: of the detergent.
        expires_on: of the detergent, ISO 8601.
        readings: its temperatures, in order.
        within: whether the last one lay in the window; None before the first.
        leaves_at: when it is expected to leave the window; None for never or unknown.
        doubtful: whether that moment has passed without a new reading.
        spoiled: what was seen in it, "" for nothing.
        mixed: whether water was to be put in since the last reading: then the
            readings before it tell nothing about how the bath cools.
    """

    made_at: datetime
    uses: int = 0
    served: frozenset[str] = frozenset()
    lot: str = ""
    expires_on: str = ""
    readings: tuple[Measured, ...] = ()
    within: bool | None = None
    leaves_at: datetime | None = None
    doubtful: bool = False
    spoiled: str = ""
    mixed: bool = False


# How answers to a question are kept.
NO = "no"
YES = "yes"


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
        bath: id of the bath it lies in; "" for none.
    """

    component: str
    step: str
    kind: str
    started_at: datetime
    least_s: int
    most_s: int | None
    milestones_s: tuple[int, ...]
    bath: str = ""

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
        unit: of the value.
        seconds: how long its dwell lasted; None while there was none.
        count: brush passes or syringe fills so far.
    """

    stage: Stage
    due: frozenset[str] = frozenset()
    dwell: Running | None = None
    value: str = ""
    unit: str = ""
    seconds: float | None = None
    count: int = 0


@dataclass(frozen=True, slots=True)
class State:
    """Where the session stands.

    Attributes:
        seq: how many events were folded.
        session: its id.
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
        listed: how often in a row it was asked what may be said.
        received: the device's code or name that chose the procedure; "" for none.
        received_as: what that says.
        barred: whether the procedure must be overridden before it is used.
        delayed: whether the device came late or untreated.
        open: the deviations that keep a part from being passed on, in order.
        bays: what each bay is, by its name; one that nothing was done in is absent.
        baths: what was made or taken over, by the bath's id.
        standing: baths of earlier sessions that may be taken over, by id.
        rounds: by part, how often it was begun; absent for once.
        choices: by part, the disposition that waits for its container.
        disposed: by part, where it went.
        given_up: parts that have failed for good: their handing on is left.
        absent: parts that did not arrive, whose tracks are closed.
    """

    seq: int = 0
    session: str = ""
    operator: str = ""
    received: str = ""
    received_as: str = ""
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
    listed: int = 0
    barred: bool = False
    delayed: bool = False
    open: tuple[DeviationNoted, ...] = ()
    bays: Mapping[str, Basin] = field(default_factory=dict)
    baths: Mapping[str, BathNow] = field(default_factory=dict)
    standing: Mapping[str, BathStood] = field(default_factory=dict)
    rounds: Mapping[str, int] = field(default_factory=dict)
    choices: Mapping[str, DispositionChosen] = field(default_factory=dict)
    disposed: Mapping[str, Disposed] = field(default_factory=dict)
    absent: frozenset[str] = frozenset()
    given_up: frozenset[str] = frozenset()

    def running(self) -> tuple[Running, ...]:
        """All running dwells, the one that is first due first."""
        dwells = [p.dwell for p in self.progress.values() if p.dwell is not None]
        return tuple(sorted(dwells, key=lambda dwell: dwell.least_at))

    @property
    def closed(self) -> bool:
        """Whether nothing more can happen."""
        return self.phase in (Phase.SIGNED_OFF, Phase.ABANDONED)
