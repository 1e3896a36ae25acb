"""A scripted cleaning: a technician's lines, with what they are meant to come to.

The head of a script states it in comments, one a line:

``# voice: en-us+f2 150``, who says the lines, and how many words a minute;
``# deviations: missing skipped``, the kinds that the record holds at the end;
``# handle: packing K9``, where a part went, and in which container;
``# approval: until 2026-01-31``, where the sheet's own approval is cut short.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path

from assistant.session import event as ev
from assistant.session.table import Phase
from assistant.shipped import folder
from assistant.speaking.voice import EspeakVoice
from assistant.station import script
from assistant.station.account import Kind

FOLDER = Path(__file__).parent / "cleanings"
_HEAD = re.compile(r"# ([a-z ]+): (.+)")
_APPROVAL = re.compile(r"until: [0-9-]+")
REPEATS = 2  # most, of one line
SLOWER = 20  # words a minute, each time that a line is said again


@dataclass(frozen=True)
class Cleaning:
    """What the head of a script states, and its cues."""

    path: Path
    voice: str
    rate: int
    deviations: frozenset[ev.DeviationKind]
    dispositions: dict[str, tuple[str, str]]
    approval: str
    cues: tuple[script.Cue, ...]

    @property
    def lines(self) -> int:
        """How many lines are said."""
        return sum(isinstance(cue, script.Say) for cue in self.cues)

    def sheet(self, into: Path) -> str:
        """The name of the procedure, or the path of the shipped sheet as changed."""
        if not self.approval:
            return self.path.stem
        shipped = folder("procedures") / f"{self.path.stem}.yaml"
        text, changed = _APPROVAL.subn(self.approval.replace(" ", ": "), shipped.read_text())
        assert changed == 1
        path = into / shipped.name
        path.write_text(text)
        return str(path)

    def outcome(self, state):
        """What is to be compared with ``meant``."""
        gone = {p: (str(d.disposition), d.container) for p, d in state.disposed.items()}
        return state.phase, frozenset(d.kind for d in state.deviations), gone

    @property
    def meant(self):
        """Signed off, with these deviations and these dispositions."""
        return Phase.SIGNED_OFF, self.deviations, self.dispositions


def read(path: Path) -> Cleaning:
    found = [_HEAD.fullmatch(line) for line in path.read_text().splitlines()]
    head = {match[1]: match[2] for match in found if match}
    voice, rate = head.pop("voice").split()
    kinds = frozenset(ev.DeviationKind(kind) for kind in head.pop("deviations").split())
    approval = head.pop("approval", "")
    gone = {part: tuple(where.split()) for part, where in head.items()}
    return Cleaning(path, voice, int(rate), kinds, gone, approval, script.read(path))


CLEANINGS = tuple(read(path) for path in sorted(FOLDER.glob("*.txt")))


@dataclass
class Technician:
    """A voice (``speaking.voice.Voice``) that says a line again, slower, when not understood."""

    name: str
    rate: int
    voices: dict[int, EspeakVoice] = field(default_factory=dict)
    slower: int = 0

    def render(self, words):
        rate = self.rate - self.slower * SLOWER
        if rate not in self.voices:
            self.voices[rate] = EspeakVoice(self.name, rate=rate)
        return self.voices[rate].render(words)

    def prepare(self, texts):
        for words in texts:
            self.render(words)

    def close(self):
        for voice in self.voices.values():
            voice.close()


@dataclass
class Spoken:
    """What became of the lines: told as they are said.

    Attributes:
        rows: the account, as the course shows it.
        wrong: what was taken for another command.
        again: what had to be said again.
        lost: what was not understood in the end.
    """

    rows: list
    interpreter: object
    technician: Technician
    wrong: list[str] = field(default_factory=list)
    again: list[str] = field(default_factory=list)
    lost: list[str] = field(default_factory=list)

    def cues(self, cues):
        """The cues, a line again where it was not understood."""
        for cue in cues:
            if not isinstance(cue, script.Say):
                yield cue
                continue
            for self.technician.slower in range(1 + REPEATS):
                before = len(self.rows)
                yield cue
                if self._understood(cue.words, self.rows[before:]):
                    break
                self.again.append(f"{self.technician.name}: {cue.words}: {self._why(before)}")
            else:
                self.again.pop()
                self.lost.append(cue.words)

    def _why(self, before):
        return "; ".join(row.detail for row in self.rows[before:] if row.kind is Kind.REJECTED)

    def _understood(self, words, rows):
        meant = self.interpreter.command(self.interpreter.typed(words).tags)
        heard = [row for row in rows if row.kind is Kind.HEARD]
        self.wrong += [f"{words}: {row.text}" for row in heard if row.detail != f"= {meant}"]
        return bool(heard)
