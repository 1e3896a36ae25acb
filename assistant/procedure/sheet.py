"""The sheet: a YAML file that a practitioner writes, read into a procedure.

``check`` tells every mistake in it; ``read`` gives the procedure or refuses with
all of them.  The reader adds the tracks and steps that no sheet may forget
(``generated``): the intake, in which the hazards are heard and the protective
equipment is put on, and a track for every bath; everything else waits for them.
"""

from __future__ import annotations

import re
import stat
from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.procedure import generated, naming, order, sheet_text, spoken, yaml_nodes
from assistant.procedure.baths import read_bath
from assistant.procedure.fields import Fields
from assistant.procedure.finding import START, Finding, Findings, SheetError
from assistant.procedure.layout import APPROVAL, ARRIVAL, BATH, COMPONENT, PROCEDURE
from assistant.procedure.model import Approval, Component, Procedure, When
from assistant.procedure.track import read_track
from assistant.trade.identity import IdentityError
from assistant.trade.scan import identify

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from assistant.procedure.draft import TrackDraft
    from assistant.procedure.finding import Mark

_LANGUAGE = re.compile(r"[a-z]{2,3}(-[A-Za-z0-9]{2,8})*")
_AS_PRINTED = "write the GS1 or HIBC code as it is printed on the device's label"
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
        _finite(path)
        with path.open("rb") as file:
            return file.read(sheet_text.MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        finding = Finding(
            str(path), 1, 1, f"the file cannot be read: {reason}", "check its path and its rights"
        )
        raise SheetError([finding], unread=True) from error


def _finite(path: Path) -> None:
    """Refuses what is no file on a disk: a pipe or a terminal is waited for without end."""
    mode = path.stat().st_mode
    if not stat.S_ISREG(mode):
        kind = "a folder" if stat.S_ISDIR(mode) else "no regular file"
        raise ValueError(f"it is {kind}")


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
    baths = {
        identifier: read_bath(block)
        for (identifier, _), block in zip(bath_marks, bath_blocks, strict=True)
    }
    known = {identifier: bath for identifier, bath in baths.items() if identifier}

    blocks = fields.blocks("components", COMPONENT)
    tracks = [read_track(block, known, words, findings) for block in blocks]
    ids = [*bath_marks, *((track.component.id, track.mark) for track in tracks)]
    naming.unique("id of a bath or component", ids, findings)
    for identifier, mark in ids:
        if identifier == generated.INTAKE:
            findings.add(mark, f'"{identifier}" is the track of the intake', "choose another id")
    naming.check(fields, bath_blocks, blocks, words.get("intake_name", ""), language, findings)
    if words:
        spoken.check(root, language, findings)
    order.check(tracks, [pair for pair in bath_marks if pair[0]], findings)
    codes = _codes(fields)
    parts = [track.component for track in tracks]
    arrival = _arrival(fields)
    _delayed(fields, tracks)
    _treated(fields, tracks)
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
    keys: dict[str, Mark] = {}
    for text, mark in fields.texts("codes"):
        if not text:
            continue
        try:
            key = identify(text, _ANY_YEAR).key()
        except IdentityError as error:
            fields.refuse_at(mark, error.what, _AS_PRINTED)
            continue
        if not key:
            fields.refuse_at(mark, f'"{text}" names no item', _AS_PRINTED)
        elif key in keys:
            fields.refuse_at(
                mark,
                f'"{text}" names the same item as the code on line {keys[key].line}',
                "delete one of the two",
            )
        else:
            keys[key] = mark
    return frozenset(keys)


def _delayed(fields: Fields, tracks: list[TrackDraft]) -> None:
    """Notes the steps for late devices where nobody finds out that one is late."""
    if "arrival" in fields:
        return
    for draft in (draft for track in tracks for draft in track.own):
        if draft.step.when is When.DELAYED:
            fields.refuse_at(
                draft.mark,
                f'"{draft.step.id}" would never be done: without "arrival" no device is late',
                f"write `{PROCEDURE.optional['arrival']}`",
            )


def _treated(fields: Fields, tracks: list[TrackDraft]) -> None:
    """Notes the parts that are handed on to nothing while others are."""
    if not any(track.component.treatment for track in tracks):
        return
    for track in tracks:
        if track.component.treatment is None:
            fields.refuse_at(
                track.mark,
                f'the {track.component.name} has no "treatment", and other parts have one',
                f"write `{COMPONENT.optional['treatment']}`",
            )


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

    What may be passed over cannot hold back what follows it, so all steps up to the first
    that is always done wait for the intake.
    """
    last = received.steps[-1].id
    ready = {bath.id: bath.steps[-1].id for bath in baths}
    waiting = []
    for part in parts:
        steps = []
        begun = False
        for step in part.steps:
            needs = (() if begun else (last,)) + ((ready[step.bath],) if step.bath else ())
            steps.append(replace(step, needs=tuple(dict.fromkeys((*needs, *step.needs)))))
            begun = begun or step.when is not When.DELAYED
        waiting.append(replace(part, steps=tuple(steps)))
    return (received, *baths, *waiting)
