"""Inspection: what may be found on a part, and what each finding leads to.

The list is common practice, no source: soil is cleaned again, damage is not made
good by cleaning.
"""

from __future__ import annotations

from enum import StrEnum


class Remedy(StrEnum):
    """What a finding leads to."""

    CLEAN_AGAIN = "clean again"
    REPAIR = "repair"


# The findings, as they are spoken, each with what it leads to.
FINDINGS = {
    "visible soil": Remedy.CLEAN_AGAIN,
    "stain": Remedy.CLEAN_AGAIN,
    "crack": Remedy.REPAIR,
    "corrosion": Remedy.REPAIR,
    "worn insulation": Remedy.REPAIR,
    "loose joint": Remedy.REPAIR,
    "bent part": Remedy.REPAIR,
    "missing piece": Remedy.REPAIR,
    "other": Remedy.REPAIR,
}


def remedy(finding: str) -> Remedy:
    """What the finding leads to; one that the list lacks is judged by a repairer.

    Args:
        finding: as spoken.
    """
    return FINDINGS.get(finding, Remedy.REPAIR)
