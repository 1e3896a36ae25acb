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
from typing import TYPE_CHECKING

from assistant.session import event as ev
from assistant.session.command import Verb
from assistant.session.table import Phase
from assistant.shipped import folder
from assistant.speaking.voice import EspeakVoice
from assistant.speaking.wording import digits
from assistant.station import script
from assistant.station.account import Kind

if TYPE_CHECKING:
    from assistant.grammar.interpret import Interpreter
    from assistant.station.account import Row
    from assistant.station.course import Course

FOLDER = Path(__file__).parent / "cleanings"
_HEAD = re.compile(r"# ([a-z-]+): (.+)")
_APPROVAL = re.compile(r"until: [0-9-]+")
REPEATS = 2  # most, of one line
SLOWER = 20  # words a minute, each time that a line is said again
HEARD = (Kind.HEARD, Kind.REJECTED)
SCANNED = (Verb.LOT, Verb.CONTAINER)
DENIAL = script.Say("incorrect")
READ_BACK = (ev.PendingKind.VALUE, ev.PendingKind.CONTAINER)


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

    def __str__(self):
        return f"{self.name} {self.rate - self.slower * SLOWER}"

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
        course: the session.
        rows: its account.
        interpreter: tells what a line means.
        technician: says the lines.
        wrong: what acted as another command than the line's.
        again: why a line was said again: not understood, or read back wrongly.
        lost: what was not understood in the end.
        scanned: lots and containers that were scanned instead.
    """

    course: Course
    rows: list[Row]
    interpreter: Interpreter
    technician: Technician
    wrong: list[str] = field(default_factory=list)
    again: list[str] = field(default_factory=list)
    lost: list[str] = field(default_factory=list)
    scanned: list[str] = field(default_factory=list)

    def cues(self, cues):
        """The cues, a line again where it was not understood, slower each time.

        A value that is read back wrongly is denied, as anybody would; nothing has come
        of it.  Then, and when it was not understood twice, the assistant asks for it
        digit by digit, and so it is said.  A lot or a container that is not understood
        in the end is scanned, from then on, as the assistant offers it.
        """
        for cue in cues:
            if not isinstance(cue, script.Say):
                yield cue
                continue
            if cue.words in self.scanned:
                yield self._scan(cue)
                continue
            line = cue
            for self.technician.slower in range(1 + REPEATS):
                before = len(self.rows)
                yield line
                rows = self._since(before)
                if self._meant(cue, rows):
                    break
                told = "; ".join(f"{row.kind} {row.text} {row.detail}" for row in rows)
                self.again.append(f"{self.technician}: {line.words}: {told}")
                read_back = any(row.kind is Kind.HEARD for row in rows)
                if read_back:
                    before = len(self.rows)
                    yield DENIAL
                    self._meant(DENIAL, self._since(before))
                if read_back or self.technician.slower:
                    line = self._by_digits(cue)
            else:
                told = self.again.pop()
                if self._command(cue).verb not in SCANNED:
                    self.lost.append(told)
                    continue
                self.scanned.append(cue.words)
                yield self._scan(cue)

    def _since(self, before):
        return [row for row in self.rows[before:] if row.kind in HEARD]

    def _command(self, cue):
        return self.interpreter.command(self.interpreter.typed(cue.words).tags)

    def _scan(self, cue):
        return script.Scan(self._command(cue).value)

    def _by_digits(self, cue):
        command = self._command(cue)
        if command.verb is not Verb.READING:
            return cue
        unit = next((unit for unit in self.interpreter.pack.units if cue.words.endswith(unit)), "")
        return script.Say(f"value {digits(command.value, 'en')} {unit}".strip())

    def _meant(self, cue, rows):
        """Whether the line was understood; what else was, is wrong unless it is read back."""
        command = self._command(cue)
        heard = [row for row in rows if row.kind is Kind.HEARD]
        others = [row.text for row in heard if row.detail != f"= {command}"]
        pending = self.course.journal.state.pending
        same = all(row.detail.startswith(f"= {command.verb} ") for row in heard)
        asked = same and pending is not None and pending.kind in READ_BACK
        if others and not asked:
            self.wrong.append(f"{self.technician}: {cue.words}: heard {', '.join(others)}")
        return bool(heard) and not (others and asked)
