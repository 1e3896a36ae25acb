"""The account of a session as it goes: what was heard, said, sounded, and why not."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import datetime


class Kind(StrEnum):
    """What a row of the account is about."""

    HEARD = "heard"
    REJECTED = "rejected"
    MUTED = "muted"
    SAID = "said"
    CUT_OFF = "cut off"
    TONE = "tone"
    WORKED = "worked"  # how a figure was got
    WAITED = "waited"
    FAULT = "fault"


@dataclass(frozen=True, slots=True)
class Row:
    """One row.

    Attributes:
        at: when, aware UTC.
        kind: what it is about.
        text: the words, or the tone's name.
        detail: the command that was understood, a score, a reason; "" where none.
    """

    at: datetime
    kind: Kind
    text: str
    detail: str = ""
