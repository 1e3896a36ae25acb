"""The tables of states and triggers, as data for the ``transitions`` library.

Two rules:
1. What a table lacks is refused by ``decide`` with a reason; nothing raises.
2. ``evolve`` moves only along a table; where the table has no row, the state stays.

The diagrams in DEVELOPERS.md are drawn from these tables by ``diagram``.
"""

from __future__ import annotations

from enum import StrEnum

from transitions import Machine

from assistant.session.command import Verb


class Phase(StrEnum):
    """Where the session stands."""

    WORKING = "working"
    CONFIRMING = "confirming"
    PAUSED = "paused"
    EMERGENCY = "emergency"
    BARRED = "barred"  # the procedure may not be used as it is
    SIGNED_OFF = "signed_off"
    ABANDONED = "abandoned"


class Stage(StrEnum):
    """Where one step stands."""

    BRIEFING = "briefing"  # cautions are not yet all heard
    READY = "ready"
    DWELLING = "dwelling"  # less than the least time
    RIPE = "ripe"  # the least time is reached
    OVERDUE = "overdue"  # the most time is passed
    DONE = "done"
    SKIPPED = "skipped"


class Turn(StrEnum):
    """Triggers that are not a technician's words: what an event does to a state."""

    ASK = "ask"
    SETTLE = "settle"
    CLOSE = "close"
    DROP = "drop"
    BAR = "bar"
    BRIEFED = "briefed"
    START = "start"
    RIPEN = "ripen"
    OVERRUN = "overrun"
    COMPLETE = "complete"
    LEAVE_OUT = "leave_out"
    REOPEN = "reopen"


Row = tuple[str, StrEnum, StrEnum]  # trigger, source, destination

_ANSWERS = (
    Verb.REPEAT,
    Verb.WHERE,
    Verb.HOW_LONG,
    Verb.SOAKING,
    Verb.HELP,
    Verb.ADVISE,
    Verb.HUSH,
)
_WORK = (
    Verb.NEXT,
    Verb.GO_BACK,
    Verb.SWITCH,
    Verb.START_SOAK,
    Verb.START_RINSE,
    Verb.START_DRY,
    Verb.READING,
    Verb.LOT,
    Verb.AFFIRM,
    Verb.DENY,
    Verb.SKIP,
    Verb.NOTE,
    Verb.SIGN_OFF,
    Verb.ABANDON,
    Verb.DEVICE,
    Verb.UNKNOWN,
    Verb.MISSING,
    Verb.DAMAGED,
    Verb.SINGLE_USE,
    Verb.OVERRIDE,
    Verb.EXPIRY,
    Verb.TAP_WATER,
    Verb.KEEP_BATH,
    Verb.FRESH_BATH,
    Verb.SPOIL,
    Verb.PASS,
    Verb.FILL,
    Verb.START_HOLD,
    Verb.CLEAN_AGAIN,
    Verb.HAND_ON,
    Verb.HOLD,
    Verb.REPAIR,
    Verb.CONTAINER,
    Verb.SCAN,
)
# Values: one that waits for an answer is corrected by saying it again.
VALUES = (Verb.READING, Verb.LOT, Verb.EXPIRY, Verb.CONTAINER, Verb.SCAN)

PHASES: tuple[Row, ...] = (
    *((verb, Phase.WORKING, Phase.WORKING) for verb in (*_WORK, *_ANSWERS)),
    (Verb.PAUSE, Phase.WORKING, Phase.PAUSED),
    (Turn.ASK, Phase.WORKING, Phase.CONFIRMING),
    *(
        (verb, Phase.CONFIRMING, Phase.CONFIRMING)
        for verb in (Verb.AFFIRM, Verb.DENY, *VALUES, *_ANSWERS)
    ),
    (Turn.ASK, Phase.CONFIRMING, Phase.CONFIRMING),
    (Turn.SETTLE, Phase.CONFIRMING, Phase.WORKING),
    (Turn.CLOSE, Phase.CONFIRMING, Phase.SIGNED_OFF),
    (Turn.DROP, Phase.CONFIRMING, Phase.ABANDONED),
    (Turn.BAR, Phase.WORKING, Phase.BARRED),
    *((verb, Phase.BARRED, Phase.BARRED) for verb in (Verb.OVERRIDE, Verb.ABANDON, *_ANSWERS)),
    (Turn.ASK, Phase.BARRED, Phase.CONFIRMING),
    *((verb, Phase.PAUSED, Phase.PAUSED) for verb in _ANSWERS),
    (Verb.RESUME, Phase.PAUSED, Phase.WORKING),
    # An emergency interrupts everything, another emergency too.
    *(
        (Verb.EMERGENCY, phase, Phase.EMERGENCY)
        for phase in (
            Phase.WORKING,
            Phase.CONFIRMING,
            Phase.PAUSED,
            Phase.BARRED,
            Phase.EMERGENCY,
        )
    ),
    *((verb, Phase.EMERGENCY, Phase.EMERGENCY) for verb in _ANSWERS),
    (Verb.RESUME, Phase.EMERGENCY, Phase.WORKING),
    (Verb.DENY, Phase.EMERGENCY, Phase.WORKING),
)

_OPEN = (Stage.BRIEFING, Stage.READY, Stage.DWELLING, Stage.RIPE, Stage.OVERDUE)

STAGES: tuple[Row, ...] = (
    (Turn.BRIEFED, Stage.BRIEFING, Stage.READY),
    (Turn.START, Stage.READY, Stage.DWELLING),
    (Turn.RIPEN, Stage.DWELLING, Stage.RIPE),
    (Turn.OVERRUN, Stage.RIPE, Stage.OVERDUE),
    *((Turn.COMPLETE, stage, Stage.DONE) for stage in (Stage.READY, Stage.RIPE, Stage.OVERDUE)),
    *((Turn.LEAVE_OUT, stage, Stage.SKIPPED) for stage in _OPEN),
    *((Turn.REOPEN, stage, Stage.BRIEFING) for stage in Stage),
)


def _machine(rows: tuple[Row, ...], states: type[StrEnum], initial: StrEnum) -> Machine:
    machine = Machine(
        model=None, states=states, initial=initial, auto_transitions=False, queued=True
    )
    for trigger, source, dest in rows:
        machine.add_transition(str(trigger), source, dest)
    return machine


_PHASES = _machine(PHASES, Phase, Phase.WORKING)
_STAGES = _machine(STAGES, Stage, Stage.BRIEFING)


def next_phase(trigger: str, phase: Phase) -> Phase | None:
    """The phase that the trigger leads to; None where the table has no such row."""
    found = _PHASES.get_transitions(str(trigger), phase)
    return Phase[str(found[0].dest)] if found else None


def next_stage(trigger: str, stage: Stage) -> Stage | None:
    """The stage that the trigger leads to; None where the table has no such row."""
    found = _STAGES.get_transitions(str(trigger), stage)
    return Stage[str(found[0].dest)] if found else None


def verbs(phase: Phase) -> frozenset[Verb]:
    """The commands that the table knows in that phase."""
    return frozenset(
        Verb(trigger) for trigger, source, _ in PHASES if source is phase and trigger in set(Verb)
    )


def diagram(rows: tuple[Row, ...]) -> str:
    """A Mermaid state diagram of a table; triggers with the same ends share an arrow."""
    arrows: dict[tuple[str, str], list[str]] = {}
    for trigger, source, dest in rows:
        arrows.setdefault((source, dest), []).append(trigger)
    lines = [
        f"    {source} --> {dest}: {', '.join(triggers)}"
        for (source, dest), triggers in arrows.items()
    ]
    return "\n".join(["stateDiagram-v2", *lines])
