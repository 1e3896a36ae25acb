"""A bay at a moment: what is in it, how clean it is, and what it needs before a use.

The rules, common practice, no source:

- running water needs an empty bay, standing water and a bath a bay with nothing else;
- a bay goes on to something cleaner (first rinse, bath, rinse, final rinse) only after
  it is wiped; to something less clean it goes on as it is;
- a bay that is drained is wiped.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

from assistant.procedure.water_use import Purpose

CLEAN = len(Purpose)  # the soil of a bay that was wiped and not used since
# What a bay holds that holds a bath which is given up; with a space, as no bath's id has one.
SPENT = "spent bath"


class Change(StrEnum):
    """What is done to a bay before its next use."""

    DRAIN = "drain"
    WIPE = "wipe"
    FILL = "fill"


@dataclass(frozen=True, slots=True)
class Place:
    """The bay in which a step is done, and what the bay must be for it.

    Attributes:
        bay: its name.
        purpose: what the water in it is used for.
        content: what it holds: a bath's id, a water as said ("treated water"), or "" for
            running water.
    """

    bay: str
    purpose: Purpose
    content: str = ""


# A named tuple, for the search of a plan hashes and compares them a hundred thousand times.
class Basin(NamedTuple):
    """What a bay is at a moment.

    Attributes:
        content: "" for empty, else a bath's id, a water as said, or ``SPENT``.
        soil: the least clean purpose since it was wiped; ``CLEAN`` where none.
    """

    content: str = ""
    soil: int = CLEAN

    def changes(self, purpose: Purpose, content: str) -> tuple[Change, ...]:
        """What must be done to it, in order, before a use of that purpose and content."""
        turned = self.soil < purpose or self.content not in ("", content)
        acts = (
            (turned and bool(self.content), Change.DRAIN),
            (turned, Change.WIPE),
            (bool(content) and (turned or self.content != content), Change.FILL),
        )
        return tuple(change for wants, change in acts if wants)

    def changed(self, acts: tuple[Change, ...], content: str) -> Basin:
        """What it is once those changes are made, the last one with that content."""
        emptied = "" if Change.DRAIN in acts else self.content
        return Basin(
            content if Change.FILL in acts else emptied,
            CLEAN if Change.WIPE in acts else self.soil,
        )

    def used(self, purpose: Purpose, content: str) -> Basin:
        """What it is once it is used; water that becomes a bath soils as a bath does."""
        soils = Purpose.BATH if purpose is Purpose.PREPARE else purpose
        return Basin(content, min(self.soil, soils))
