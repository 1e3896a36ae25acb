"""Sheets of tests, read: their procedure, its steps, or what is told of them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.procedure.finding import Finding, SheetError
from assistant.procedure.sheet import parse
from assistant.speaking.wording import spoken

if TYPE_CHECKING:
    from assistant.procedure.model import Procedure, Step


def read(sheet: str) -> Procedure:
    return parse(sheet.encode(), "x.yaml")


def steps(sheet: str) -> dict[str, Step]:
    """All steps of all tracks, by id."""
    return {step.id: step for component in read(sheet).components for step in component.steps}


def findings(data: str | bytes) -> list[Finding]:
    """What is told of a sheet; empty for a good one."""
    data = data.encode() if isinstance(data, str) else data
    try:
        parse(data, "x.yaml")
    except SheetError as error:
        return error.findings
    return []


def told(sheet: str) -> list[str]:
    """The same, each as one text."""
    return [str(finding) for finding in findings(sheet)]


def exchanged(sheet: str, *pairs: str) -> str:
    """The sheet with the first text of each pair exchanged for the second, once."""
    for old, new in zip(pairs[::2], pairs[1::2], strict=True):
        assert old in sheet, old
        sheet = sheet.replace(old, new, 1)
    return sheet


def hangs_together(procedure: Procedure) -> None:
    """What a session relies on, whatever sheet the procedure was read from."""
    steps = [step for component in procedure.components for step in component.steps]
    ids = {step.id for step in steps}
    assert len(ids) == len(steps)
    names = [n for c in procedure.components for n in (c.name, *c.also, *c.adapters)]
    assert len({name.casefold() for name in names}) == len(names)
    for component in procedure.components:
        own = [step.id for step in component.steps]
        assert own
        if component.rounds is not None:
            assert component.rounds.start in own
    for step in steps:
        assert ids.issuperset(step.needs)
        assert step.say
        assert step.short
        if step.bath:
            assert f"{step.bath}.temperature" in step.needs or step.id.startswith(f"{step.bath}.")
        for text in (step.say, step.short, *(caution.text for caution in step.cautions)):
            assert not set(text) & set("{}")
            assert spoken(text)
    behind: set[str] = set()
    while True:  # every step is reached when each waits for what it needs
        now = {
            step.id
            for component in procedure.components
            for n, step in enumerate(component.steps)
            if behind.issuperset(step.needs) and (not n or component.steps[n - 1].id in behind)
        }
        if now == behind:
            break
        behind = now
    assert behind == ids
