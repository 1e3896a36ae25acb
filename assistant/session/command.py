"""What may come in: commands of the technician, the clock, the voice's reports."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import datetime


class Verb(StrEnum):
    """The commands; a grammar's outermost tag carries one of these values."""

    NEXT = "next"
    GO_BACK = "go_back"
    SWITCH = "switch"
    START_SOAK = "start_soak"
    START_RINSE = "start_rinse"
    START_DRY = "start_dry"
    READING = "reading"
    LOT = "lot"
    AFFIRM = "affirm"
    DENY = "deny"
    REPEAT = "repeat"
    WHERE = "where"
    HOW_LONG = "how_long"
    HELP = "help"
    ADVISE = "advise"
    HUSH = "hush"
    PAUSE = "pause"
    RESUME = "resume"
    SKIP = "skip"
    NOTE = "note"
    SIGN_OFF = "sign_off"
    ABANDON = "abandon"
    EMERGENCY = "emergency"
    # Taking in
    DEVICE = "device"
    UNKNOWN = "unknown"
    MISSING = "missing"
    DAMAGED = "damaged"
    SINGLE_USE = "single_use"
    OVERRIDE = "override"
    # Baths
    EXPIRY = "expiry"
    TAP_WATER = "tap_water"
    KEEP_BATH = "keep_bath"
    FRESH_BATH = "fresh_bath"
    SPOIL = "spoil"
    SOAKING = "soaking"
    # Lumens, tests, rounds
    PASS = "pass"  # noqa: S105 - a brush pass
    FILL = "fill"
    START_HOLD = "start_hold"
    CLEAN_AGAIN = "clean_again"
    # Handing on
    HAND_ON = "hand_on"
    HOLD = "hold"
    REPAIR = "repair"
    CONTAINER = "container"
    # A code, read by a scanner or typed as it is printed; never spoken.
    SCAN = "scan"


@dataclass(frozen=True, slots=True)
class Command:
    """A verb with at most one value.

    Attributes:
        verb: what to do.
        value: a component's, item's or procedure's id, a plain decimal number, the
            signs of a lot, the digits of a date, a scanned code, the words of a
            reason, a problem or a part of the body; "" for verbs without a value.
        unit: the unit that was spoken with a number; "" where none was.
    """

    verb: Verb
    value: str = ""
    unit: str = ""

    def __str__(self) -> str:
        """The command as one line: verb, value, unit."""
        return " ".join(part for part in (self.verb, self.value, self.unit) if part)


class Source(StrEnum):
    """Where an utterance came from."""

    VOICE = "voice"
    KEYS = "keys"
    SCAN = "scan"


@dataclass(frozen=True, slots=True)
class Said:
    """One utterance, with what the recognizer and the interpretation made of it.

    Attributes:
        command: what it means; None where it means nothing or was rejected.
        text: the words.
        said_at: when it began to be said; it answers what was asked before that.
        source: voice, keys or scan.
        accepted: whether the recognizer stands by it.
        score: the recognizer's score; 0 for keys and scans.
        runner_up: the best other sentence.
        runner_up_score: its score.
        reason: why it was rejected.
    """

    command: Command | None
    text: str
    said_at: datetime
    source: Source = Source.VOICE
    accepted: bool = True
    score: float = 0.0
    runner_up: str = ""
    runner_up_score: float | None = None
    reason: str = ""


@dataclass(frozen=True, slots=True)
class TimeReached:
    """The clock came to the moment that the input is decided at."""


@dataclass(frozen=True, slots=True)
class PromptEnded:
    """The voice is done with one prompt.

    Attributes:
        prompt: its id.
        text: what was shown and spoken.
        to_the_end: False where it was cut off or never begun.
        step: id of the step that it belongs to; "" for none.
        caution: id of the caution that it says; "" for none.
    """

    prompt: str
    text: str
    to_the_end: bool
    step: str = ""
    caution: str = ""


@dataclass(frozen=True, slots=True)
class Reopened:
    """The session goes on after the program had ended, however it ended."""


Input = Said | TimeReached | PromptEnded | Reopened
