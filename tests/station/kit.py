"""A session at a station without devices: printed voice, virtual clock, real record."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.speaking.voice import PrintedVoice
from assistant.station import assemble, script
from assistant.station.clock import VirtualClock
from assistant.station.ear import Ear
from assistant.station.rehearsal import Rehearsal

if TYPE_CHECKING:
    from assistant.record.store import Store
    from assistant.station.account import Row
    from assistant.station.course import Course

START = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
MEANS = assemble.Means("real", "invented operator", "none", "", "printed")
SHORT = "demo-short"

# Through the shipped short cleaning, up to both soaks.
TO_SHAFT = (
    "affirmative",
    "next",
    "lot number alfa three seven",
    "affirmative",
    "expiry date two eight oh three three one",
    "affirmative",
    "next",
    "value thirty five",
    "affirmative",
)
TO_SOAKS = (
    *TO_SHAFT,
    "next",
    "start soak",
    "switch to the insert",
    "next",
    "start soak",
)
TO_END = (
    "wait 10 min",
    "next",
    "next",
    "switch to the shaft",
    "next",
    "begin rinse timer",
    "wait 1 min",
    "next",
    "affirmative",
    "switch to the insert",
    "next",
    "sign off the session",
    "affirmative",
)


def cues(*lines: str) -> list[script.Cue]:
    found = [
        script.cue(line if line.startswith(("wait", "scan")) else f"say {line}", Path())
        for line in lines
    ]
    return [cue for cue in found if cue is not None]


@dataclass
class Kit:
    """A store, a plan, and what was shown."""

    path: Path
    store: Store
    rows: list[Row] = field(default_factory=list)
    clock: VirtualClock = field(default_factory=lambda: VirtualClock(START))
    plan: assemble.Plan = field(default_factory=lambda: assemble.plan(SHORT, "en", ()))

    def begin(self) -> Course:
        return assemble.begin(self.plan, self.store, self.clock, self.rows.append, MEANS)

    def rehearsal(self, course: Course) -> Rehearsal:
        return Rehearsal(course, self.clock, PrintedVoice(), Ear(self.plan.interpreter))

    def follow(self, *lines: str) -> Course:
        course = self.begin()
        self.rehearsal(course).follow(cues(*lines))
        return course

    def texts(self, kind: str) -> list[str]:
        return [row.text for row in self.rows if row.kind == kind]
