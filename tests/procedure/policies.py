"""Policies for tests: what stands between head and end is written in each test."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from assistant.procedure import policy
from assistant.procedure.finding import Finding, SheetError

if TYPE_CHECKING:
    from assistant.procedure.policy import Applied

MANY = Path(__file__).parent / "sheets" / "many.yaml"
SHEET = "many.yaml"
POLICY = "rules.yaml"
HEAD = """procedure: many
revision: "1"
notice: Invented rules, for tests.
changes:
"""
WHO = """  - reason: Because.
    author: test lead
    approved: 2026-02-02
"""
ORIGIN = "policy test lead, 2026-02-02: Because."


def change(*lines: str) -> str:
    """One change with its reason, author and date."""
    return WHO + "".join(f"    {line}\n" for line in lines)


def lay(*changes: str, head: str = HEAD, sheet: str | None = None) -> Applied:
    """The sheet of many kinds with these changes laid over it."""
    text = MANY.read_text(encoding="utf-8") if sheet is None else sheet
    return policy.read(text.encode(), SHEET, (head + "".join(changes)).encode(), POLICY)


def refused(*changes: str, head: str = HEAD, sheet: str | None = None) -> list[Finding]:
    """Why they are refused; never empty."""
    try:
        lay(*changes, head=head, sheet=sheet)
    except SheetError as error:
        return error.findings
    raise AssertionError("nothing was refused")


def sheet_line(text: str) -> str:
    """The line of the sheet on which the text first begins, as findings name it."""
    whole = MANY.read_text(encoding="utf-8")
    return f"{SHEET}:{whole.count(chr(10), 0, whole.index(text)) + 1}"
