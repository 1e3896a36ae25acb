"""What happened: the facts that a session's record is made of.

State is the fold of these and nothing else.  Every event carries its moment,
``at`` (aware, UTC), and whatever a later reader needs to understand it without
the procedure file.  Here are the session's own; those of the intake, of baths and
of parts stand in modules beside it and are reached through this one.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from assistant.session.event_bath import (
    BathDoubtful,
    BathEmptied,
    BathMade,
    BathMeasured,
    BathSpoiled,
    BathStood,
    BathTaken,
    BathUsed,
    BayTurned,
    MixAdvised,
)
from assistant.session.event_dwell import (
    DwellEnded,
    DwellMilestone,
    DwellOverdue,
    DwellRipe,
    DwellStarted,
)
from assistant.session.event_emergency import (
    EmergencyCalled,
    EmergencyEnded,
    FlushDone,
    FlushMilestone,
)
from assistant.session.event_intake import (
    DelayFound,
    DeviceIdentified,
    ItemNoted,
    ProcedureBarred,
    ProcedureOverridden,
    StepPassedOver,
)
from assistant.session.event_kind import (
    ACCEPTABLE,
    BLOCKING,
    DeviationKind,
    Disposition,
    PendingKind,
)
from assistant.session.event_part import (
    DeviationsAccepted,
    Disposed,
    DispositionChosen,
    PartGivenUp,
    RoundBegun,
    Tallied,
    Tested,
)

__all__ = [
    "ACCEPTABLE",
    "BLOCKING",
    "Abandoned",
    "Asked",
    "BathDoubtful",
    "BathEmptied",
    "BathMade",
    "BathMeasured",
    "BathSpoiled",
    "BathStood",
    "BathTaken",
    "BathUsed",
    "BayTurned",
    "CommandRefused",
    "ConfirmationAsked",
    "ConfirmationWithdrawn",
    "DelayFound",
    "DeviationKind",
    "DeviationNoted",
    "DeviationsAccepted",
    "DeviceIdentified",
    "Disposed",
    "Disposition",
    "DispositionChosen",
    "DwellEnded",
    "DwellMilestone",
    "DwellOverdue",
    "DwellRipe",
    "DwellStarted",
    "EmergencyCalled",
    "EmergencyEnded",
    "Event",
    "FlushDone",
    "FlushMilestone",
    "Heard",
    "ItemNoted",
    "MixAdvised",
    "PartGivenUp",
    "Paused",
    "PendingKind",
    "ProblemNoted",
    "ProcedureBarred",
    "ProcedureOverridden",
    "PromptFinished",
    "PromptInterrupted",
    "Resumed",
    "RoundBegun",
    "SessionOpened",
    "SessionReopened",
    "SignedOff",
    "StepCompleted",
    "StepEntered",
    "StepPassedOver",
    "StepSkipped",
    "Tallied",
    "Tested",
    "TrackFinished",
    "TrackSwitched",
    "ValueAccepted",
    "ValueRefused",
]


@dataclass(frozen=True, slots=True)
class SessionOpened:
    """The first entry: who, what, where, and by which exact texts and models."""

    at: datetime
    procedure: str
    revision: str
    title: str
    notice: str
    procedure_text: str
    procedure_sha256: str
    grammar_sha256: str
    recognizer: str
    model_sha256: str
    voice: str
    language: str
    operator: str
    mode: str  # "real", "rehearsal" or "demo"; only "real" counts
    program: str
    components: tuple[str, ...]
    session: str = ""
    policy_text: str = ""
    station_text: str = ""
    received: str = ""  # the device's code or name, where it chose the procedure
    received_as: str = ""  # what that says, for reading back
    station: str = ""


@dataclass(frozen=True, slots=True)
class SessionReopened:
    """The session goes on after the program had ended."""

    at: datetime


@dataclass(frozen=True, slots=True)
class Heard:
    """An utterance; the words of a rejected one are not kept, only its scores."""

    at: datetime
    source: str
    text: str
    command: str
    accepted: bool
    score: float
    runner_up: str
    runner_up_score: float | None
    reason: str


@dataclass(frozen=True, slots=True)
class CommandRefused:
    """An understood command that may not be done now.

    Attributes:
        at: when.
        command: what was asked.
        reason: key of the reason.
        about: what the reason is about, as spoken (a time left, a part's name).
        may_say: what may be said now.
        working: how the reason was got.
    """

    at: datetime
    command: str
    reason: str
    about: str
    may_say: tuple[str, ...]
    working: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Asked:
    """A question that changes nothing: where, how long, help, repeat, hush."""

    at: datetime
    verb: str


@dataclass(frozen=True, slots=True)
class PromptFinished:
    """A prompt was spoken to its end; a caution so spoken counts as given."""

    at: datetime
    prompt: str
    text: str
    step: str
    caution: str


@dataclass(frozen=True, slots=True)
class PromptInterrupted:
    """A prompt was cut off or never begun; a caution so cut was not given."""

    at: datetime
    prompt: str
    text: str
    step: str
    caution: str


@dataclass(frozen=True, slots=True)
class StepEntered:
    """A step became its track's present step; its cautions are due (again)."""

    at: datetime
    component: str
    step: str
    index: int
    cautions: tuple[str, ...]
    again: bool = False
    working: tuple[str, ...] = ()  # how the figures that it speaks were got


@dataclass(frozen=True, slots=True)
class StepCompleted:
    """A step is done."""

    at: datetime
    component: str
    step: str
    index: int


@dataclass(frozen=True, slots=True)
class StepSkipped:
    """A step was left out, for a reason that was spoken and confirmed."""

    at: datetime
    component: str
    step: str
    index: int
    reason: str


@dataclass(frozen=True, slots=True)
class TrackFinished:
    """A component came to the end of its steps."""

    at: datetime
    component: str
    onward: str


@dataclass(frozen=True, slots=True)
class TrackSwitched:
    """The technician turned to another component."""

    at: datetime
    component: str


@dataclass(frozen=True, slots=True)
class ConfirmationAsked:
    """Something was read back and waits for "affirmative" or "incorrect"."""

    at: datetime
    kind: PendingKind
    step: str
    of: str
    value: str
    unit: str
    raw: str = ""  # the code that was scanned, where one was


@dataclass(frozen=True, slots=True)
class ConfirmationWithdrawn:
    """It was denied; nothing came of it."""

    at: datetime
    kind: PendingKind
    of: str


@dataclass(frozen=True, slots=True)
class ValueRefused:
    """A reading outside its window, or a lot that cannot be one.

    Attributes:
        at: when.
        step: the step that asked for it.
        of: what was measured.
        value: as heard.
        unit: of the value.
        limits: the window, as shown.
        reason: "below", "above", "short", "long", "expired", "no_date" or "must".
        working: how that was got.
    """

    at: datetime
    step: str
    of: str
    value: str
    unit: str
    limits: str
    reason: str
    working: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ValueAccepted:
    """A reading, lot or answer that was read back and confirmed."""

    at: datetime
    step: str
    of: str
    value: str
    unit: str
    limits: str


@dataclass(frozen=True, slots=True)
class ProblemNoted:
    """A problem that the technician saw."""

    at: datetime
    component: str
    step: str
    problem: str


@dataclass(frozen=True, slots=True)
class DeviationNoted:
    """The cleaning departed from the procedure."""

    at: datetime
    kind: DeviationKind
    component: str
    step: str
    detail: str


@dataclass(frozen=True, slots=True)
class Paused:
    """Work stands still; dwells go on."""

    at: datetime


@dataclass(frozen=True, slots=True)
class Resumed:
    """Work goes on."""

    at: datetime


@dataclass(frozen=True, slots=True)
class SignedOff:
    """The operator closed the session."""

    at: datetime
    operator: str
    deviations: int
    problems: int


@dataclass(frozen=True, slots=True)
class Abandoned:
    """The session was ended before its time."""

    at: datetime
    operator: str


Event = (
    SessionOpened
    | SessionReopened
    | Heard
    | CommandRefused
    | Asked
    | PromptFinished
    | PromptInterrupted
    | StepEntered
    | StepCompleted
    | StepSkipped
    | TrackFinished
    | TrackSwitched
    | DwellStarted
    | DwellMilestone
    | DwellRipe
    | DwellOverdue
    | DwellEnded
    | ConfirmationAsked
    | ConfirmationWithdrawn
    | ValueRefused
    | ValueAccepted
    | ProblemNoted
    | DeviationNoted
    | ProcedureBarred
    | ProcedureOverridden
    | DeviceIdentified
    | ItemNoted
    | DelayFound
    | StepPassedOver
    | BathStood
    | BathTaken
    | BathMade
    | BathMeasured
    | BathDoubtful
    | MixAdvised
    | BathUsed
    | BayTurned
    | BathSpoiled
    | BathEmptied
    | Tallied
    | Tested
    | PartGivenUp
    | RoundBegun
    | DeviationsAccepted
    | DispositionChosen
    | Disposed
    | Paused
    | Resumed
    | EmergencyCalled
    | FlushMilestone
    | FlushDone
    | EmergencyEnded
    | SignedOff
    | Abandoned
)
