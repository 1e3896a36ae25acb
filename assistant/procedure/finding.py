"""A finding: one mistake in a sheet, where it stands and what to do about it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, order=True)
class Mark:
    """A place in a file.

    Attributes:
        line: counted from 1.
        column: counted from 1, in characters.
        path: the file, where more than one is read at a time; "" for the one at hand.
    """

    line: int
    column: int
    path: str = ""

    @property
    def place(self) -> str:
        """File and line, as in "sheet.yaml:12", or "line 12" where no file is named."""
        return f"{self.path}:{self.line}" if self.path else f"line {self.line}"


START = Mark(1, 1)
MOST_FINDINGS = 200  # in one telling: beyond it nobody reads on
MOST_SIGNS = 300  # of what a finding says, for a sheet's own text may be long


@dataclass(frozen=True, slots=True)
class Finding:
    """One mistake in a sheet.

    Attributes:
        path: the file, as it was given.
        line: counted from 1.
        column: counted from 1, in characters.
        what: what is wrong.
        remedy: what to do about it.
    """

    path: str
    line: int
    column: int
    what: str
    remedy: str

    def __str__(self) -> str:
        return f"{self.path}:{self.line}:{self.column}: {self.what}; {self.remedy}"


class Findings:
    """The mistakes found so far in one file; each is told once.

    Attributes:
        path: the file, as it was given; what a mark without a file of its own is in.
        of: what the file states ("procedure", "policy").
    """

    def __init__(self, path: str, of: str = "procedure") -> None:
        self.path = path
        self.of = of
        self._found: dict[Finding, None] = {}

    def __bool__(self) -> bool:
        return bool(self._found)

    def __len__(self) -> int:
        return len(self._found)

    def add(self, mark: Mark, what: str, remedy: str) -> None:
        """Note a mistake at that place.

        Raises:
            SheetError: there are more than can be told; it carries those found so far.
        """
        if len(self._found) >= MOST_FINDINGS:
            what = f"there are more than {MOST_FINDINGS} mistakes; this is the next: {what}"
        what, remedy = _shortened(what), _shortened(remedy)
        path = mark.path or self.path
        self._found[Finding(path, mark.line, mark.column, what, remedy)] = None
        if len(self._found) > MOST_FINDINGS:
            raise SheetError(self.sorted())

    def sorted(self) -> list[Finding]:
        """All of them in the order of the file."""
        return sorted(self._found, key=lambda finding: (finding.line, finding.column))


def _shortened(text: str) -> str:
    # What a sheet says may turn a terminal's lines round, or colour them.
    text = "".join(sign if sign.isprintable() else f"\\u{ord(sign):04X}" for sign in text)
    return text if len(text) <= MOST_SIGNS else f"{text[: MOST_SIGNS - 1]}\u2026"


class SheetError(Exception):
    """A sheet is no usable procedure.

    Attributes:
        findings: every mistake, in the order of the file; never empty.
        unread: True where the file itself cannot be read.
    """

    def __init__(self, findings: list[Finding], *, unread: bool = False) -> None:
        super().__init__("\n".join(map(str, findings)))
        self.findings = findings
        self.unread = unread
