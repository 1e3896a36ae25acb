"""What a step does with water, and which water it takes."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum, StrEnum


class Water(StrEnum):
    """The water that a tap gives."""

    UTILITY = "utility"
    TREATED = "treated"


class Purpose(IntEnum):
    """What water is used for, from the least clean to the cleanest."""

    FIRST_RINSE = 0
    PREPARE = 1
    BATH = 2
    RINSE = 3
    FINAL_RINSE = 4

    @property
    def water(self) -> Water:
        """The water that it takes."""
        return Water.TREATED if self is Purpose.FINAL_RINSE else Water.UTILITY


@dataclass(frozen=True, slots=True)
class Use:
    """What one step does with water.

    Attributes:
        purpose: what for.
        bath: id of the bath; "" for a rinse.
        standing: for a rinse: in a filled bay, instead of running water.
    """

    purpose: Purpose
    bath: str = ""
    standing: bool = False
