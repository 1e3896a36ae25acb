"""The sheet: a YAML file that a practitioner writes, read into a procedure.

``check`` tells every mistake in it; ``read`` gives the procedure or refuses with
all of them.  The reader adds one step that no sheet may forget: the opening, in
which the hazards are heard and the protective equipment is put on.  It heads the
first component's track, and every other track waits for it.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.procedure import order, sheet_text, yaml_nodes
from assistant.procedure.baths import read_bath
from assistant.procedure.draft import TrackDraft
from assistant.procedure.fields import Fields
from assistant.procedure.finding import START, Finding, Findings, Mark, SheetError
from assistant.procedure.layout import BATH, COMPONENT, PROCEDURE, STEP
from assistant.procedure.model import Component, Procedure, Step
from assistant.procedure.steps import numbered_cautions, read_step

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

    from assistant.procedure.model import Bath

OPENING = "opening"
MOST_PIECES = 99
_LANGUAGE = re.compile(r"[a-z]{2,3}(-[A-Za-z0-9]{2,8})*")
# By language: what the opening says with the list of equipment, and its short cue.
_OPENING_WORDS = {"en": ("Put on: {}.", "put on the protective equipment")}


def read(path: Path) -> Procedure:
    """The procedure of that sheet.

    Raises:
        SheetError: the file cannot be read or has mistakes; it carries every one.
    """
    return parse(read_bytes(path), str(path))


def read_bytes(path: Path) -> bytes:
    """The bytes of that sheet; one more than a sheet may have where it has too many.

    Raises:
        SheetError: the file cannot be read.
    """
    try:
        with path.open("rb") as file:
            return file.read(sheet_text.MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        finding = Finding(
            str(path), 1, 1, f"the file cannot be read: {reason}", "check its path and its rights"
        )
        raise SheetError([finding]) from error


def check(path: Path) -> list[Finding]:
    """Every mistake in that sheet, in the order of the file; empty for a good one."""
    try:
        read(path)
    except SheetError as error:
        return error.findings
    return []


def parse(data: bytes, path: str) -> Procedure:
    """The procedure that the bytes of a sheet state.

    Args:
        data: the whole file.
        path: what findings call it.

    Raises:
        SheetError: they have mistakes; it carries every one.
    """
    findings = Findings(path)
    procedure = _examine(data, findings)
    if findings or procedure is None:
        raise SheetError(findings.sorted())
    return procedure


def _examine(data: bytes, findings: Findings) -> Procedure | None:
    text = sheet_text.decode(data, findings)
    root = None if text is None else yaml_nodes.parse(text, findings)
    if root is None:
        return None
    if not isinstance(root, yaml_nodes.Mapping):
        findings.add(
            START, "the file is no block of keys", f'begin with "{PROCEDURE.required["id"]}"'
        )
        return None
    return _procedure(Fields(root, PROCEDURE, findings), findings)


def _procedure(fields: Fields, findings: Findings) -> Procedure:
    language = fields.text("language")
    words = _OPENING_WORDS.get(language.partition("-")[0], ("{}", ""))
    if language and not _LANGUAGE.fullmatch(language):
        fields.refuse("language", f'"{language}" is no language tag', 'write as in "en"')
    elif language and not words[1]:
        fields.refuse(
            "language",
            f'the opening step has no words in "{language}"',
            f"known are: {', '.join(_OPENING_WORDS)}",
        )
    hazards = tuple(text for text, _ in fields.texts("hazards"))
    equipment = tuple(text for text, _ in fields.texts("protective_equipment"))

    bath_blocks = fields.blocks("baths", BATH)
    bath_marks = [(block.identifier("id"), block.mark_of("id")) for block in bath_blocks]
    _unique("id of a bath", bath_marks, findings)
    baths = {
        identifier: read_bath(block)
        for (identifier, _), block in zip(bath_marks, bath_blocks, strict=True)
    }
    known = {identifier: bath for identifier, bath in baths.items() if identifier}

    blocks = fields.blocks("components", COMPONENT)
    tracks = [_track(block, known, findings) for block in blocks]
    _unique("id of a component", [(track.component.id, track.mark) for track in tracks], findings)
    _unique("spoken name", [name for block in blocks for name in _names(block)], findings)
    order.check(tracks, [pair for pair in bath_marks if pair[0]], findings)
    return Procedure(
        id=fields.identifier("id"),
        revision=fields.quoted("revision"),
        title=fields.text("title"),
        language=language,
        notice=fields.text("notice"),
        hazards=hazards,
        protective_equipment=equipment,
        baths=tuple(bath for bath in known.values() if bath),
        components=_opened([track.component for track in tracks], hazards, equipment, words),
    )


def _track(fields: Fields, baths: dict[str, Bath | None], findings: Findings) -> TrackDraft:
    identifier = fields.identifier("id") or f"line-{fields.mark.line}"
    blocks = fields.blocks("steps", STEP)
    drafts = tuple(read_step(block, identifier, baths) for block in blocks)
    ids = [(block.text("id"), block.mark_of("id")) for block in blocks]
    _unique("id of a step in this track", ids, findings)
    for name, mark in ids:
        if name == OPENING:
            findings.add(
                mark,
                f'"{OPENING}" is the step that is made of hazards and protective_equipment',
                "choose another id",
            )
    for name, mark in _names(fields):
        if not all(word.isalpha() for word in name.split()):
            findings.add(
                mark,
                f'the name "{name}" cannot be said',
                "write words of letters only, as they are spoken",
            )
    component = Component(
        id=identifier,
        name=fields.text("name"),
        onward=fields.text("onward"),
        steps=tuple(draft.step for draft in drafts),
        also=tuple(text for text, _ in fields.texts("also")),
        count=fields.whole("count", 1, MOST_PIECES, 1),
    )
    return TrackDraft(component, fields.mark_of("id"), drafts)


def _names(fields: Fields) -> list[tuple[str, Mark]]:
    """The spoken names of a component, in small letters, with their places."""
    names = [(fields.text("name"), fields.mark_of("name")), *fields.texts("also")]
    return [(name.casefold(), mark) for name, mark in names if name]


def _unique(what: str, items: Iterable[tuple[str, Mark]], findings: Findings) -> None:
    """Notes each item that was there before; "" does not count."""
    first: dict[str, Mark] = {}
    for item, mark in items:
        before = first.setdefault(item, mark)
        if item and before != mark:
            findings.add(
                mark,
                f'the {what} "{item}" stands on line {before.line} and again on line {mark.line}',
                "change one of the two",
            )


def _opened(
    components: list[Component],
    hazards: tuple[str, ...],
    equipment: tuple[str, ...],
    words: tuple[str, str],
) -> tuple[Component, ...]:
    """The components with the opening before everything else."""
    if not components:
        return ()
    first, *others = components
    opening = Step(
        id=f"{first.id}.{OPENING}",
        say=words[0].format(", ".join(equipment)),
        short=words[1],
        cautions=numbered_cautions(f"{first.id}.{OPENING}", list(hazards)),
        mandatory=True,
    )
    return (
        replace(first, steps=(opening, *first.steps)),
        *(_after(opening.id, component) for component in others),
    )


def _after(opening: str, component: Component) -> Component:
    """The component, its first step waiting for the opening."""
    first, *others = component.steps or (None,)
    if first is None:
        return component
    waiting = replace(first, needs=(opening, *first.needs))
    return replace(component, steps=(waiting, *others))
