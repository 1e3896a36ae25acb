"""The sheet: a YAML file that a practitioner writes, read into a procedure.

``check`` tells every mistake in it; ``read`` gives the procedure or refuses with
all of them.  The reader adds the tracks and steps that no sheet may forget
(``generated``): the intake, in which the hazards are heard and the protective
equipment is put on, and a track for every bath; everything else waits for them.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.procedure import generated, order, sheet_text, yaml_nodes
from assistant.procedure.baths import read_bath
from assistant.procedure.fields import Fields
from assistant.procedure.finding import START, Finding, Findings, SheetError
from assistant.procedure.layout import APPROVAL, ARRIVAL, BATH, COMPONENT, PROCEDURE
from assistant.procedure.model import Approval, Component, Procedure
from assistant.procedure.track import names as _names
from assistant.procedure.track import read_track
from assistant.procedure.track import unique as _unique
from assistant.trade.identity import IdentityError
from assistant.trade.scan import identify

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

MOST_PIECES = 99
MOST_ROUNDS = 9
_USUAL_ROUNDS = 2  # our own choice, no source
_LANGUAGE = re.compile(r"[a-z]{2,3}(-[A-Za-z0-9]{2,8})*")
# Codes of devices carry no dates that need the present year.
_ANY_YEAR = 2000


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
    root = nodes(data, f'begin with "{PROCEDURE.required["id"]}"', findings)
    procedure = None if root is None else examine(root, findings)
    if findings or procedure is None:
        raise SheetError(findings.sorted())
    return procedure


def nodes(data: bytes, remedy: str, findings: Findings) -> yaml_nodes.Mapping | None:
    """The block of keys that a file is; None stands in.

    Args:
        data: the whole file.
        remedy: what to do about a file that is something else.
        findings: empty; told what is wrong.
    """
    text = sheet_text.decode(data, findings)
    root = None if text is None else yaml_nodes.parse(text, findings)
    if root is None or isinstance(root, yaml_nodes.Mapping):
        return root
    findings.add(START, "the file is no block of keys", remedy)
    return None


def examine(root: yaml_nodes.Mapping, findings: Findings) -> Procedure:
    """The procedure that a sheet's nodes state; stand-ins where anything was noted.

    Args:
        root: the outermost block, as it was read or with a policy laid over it.
        findings: empty; told what is wrong.
    """
    fields = Fields(root, PROCEDURE, findings)
    language = fields.text("language")
    words = _words(fields, language)
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
    tracks = [read_track(block, known, words, findings) for block in blocks]
    ids = [*bath_marks, *((track.component.id, track.mark) for track in tracks)]
    _unique("id of a bath or component", ids, findings)
    names = [name for block in (*bath_blocks, *blocks) for name in _names(block)]
    _unique("spoken name", names, findings)
    order.check(tracks, [pair for pair in bath_marks if pair[0]], findings)
    codes = _codes(fields)
    parts = [track.component for track in tracks]
    arrival = _arrival(fields)
    approval = _approval(fields)
    components: tuple[Component, ...] = ()
    if words and parts and not findings:
        received = generated.intake(
            words, hazards, equipment, parts, arrival, identified=bool(codes)
        )
        made = [generated.bath_track(words, bath) for bath in known.values() if bath]
        components = _waiting(received, made, parts)
    return Procedure(
        id=fields.identifier("id"),
        revision=fields.quoted("revision"),
        title=fields.text("title"),
        language=language,
        notice=fields.text("notice"),
        hazards=hazards,
        protective_equipment=equipment,
        baths=tuple(bath for bath in known.values() if bath),
        components=components,
        also=tuple(text for text, _ in fields.texts("also")),
        codes=codes,
        approval=approval,
    )


def _words(fields: Fields, language: str) -> Mapping[str, str]:
    """The texts of generated steps in the sheet's language; empty stands in."""
    if language and not _LANGUAGE.fullmatch(language):
        fields.refuse("language", f'"{language}" is no language tag', 'write as in "en"')
        return {}
    words = generated.texts(language) if language else {}
    if language and not words:
        fields.refuse(
            "language",
            f'no steps can be said in "{language}"',
            "write the language of a pack in the folder grammars that has a steps.yaml",
        )
    return words


def _codes(fields: Fields) -> frozenset[str]:
    """The keys of the device's codes."""
    keys = set()
    for text, mark in fields.texts("codes"):
        try:
            key = identify(text, _ANY_YEAR).key()
        except IdentityError as error:
            fields.refuse_at(mark, error.what, error.remedy)
            continue
        if key:
            keys.add(key)
        else:
            fields.refuse_at(mark, f'"{text}" names no item', "write the code of the device")
    return frozenset(keys)


def _arrival(fields: Fields) -> tuple[int, str] | None:
    block = fields.block("arrival", ARRIVAL)
    if block is None:
        return None
    within = block.seconds("within")
    return None if within is None else (within, block.text("delayed"))


def _approval(fields: Fields) -> Approval | None:
    block = fields.block("approval", APPROVAL)
    if block is None:
        return None
    by, on, until = block.text("by"), block.day("on"), block.day("until")
    if on is None or until is None:
        return None
    if until < on:
        block.refuse("until", f"until {until} is before on {on}", "exchange or correct the two")
        return None
    return Approval(by, on, until)


def _waiting(
    received: Component, baths: list[Component], parts: list[Component]
) -> tuple[Component, ...]:
    """All tracks: a part waits for the intake, and what uses a bath for its temperature.

    A sheet without tests has no rounds, but a part that fails a look is cleaned again
    all the same: from its first rinse, or from its beginning.
    """
    last = received.steps[-1].id
    ready = {bath.id: bath.steps[-1].id for bath in baths}
    waiting = []
    for part in parts:
        steps = []
        for index, step in enumerate(part.steps):
            needs = (() if index else (last,)) + ((ready[step.bath],) if step.bath else ())
            steps.append(replace(step, needs=tuple(dict.fromkeys((*needs, *step.needs)))))
        waiting.append(replace(part, steps=tuple(steps)))
    return (received, *baths, *waiting)
