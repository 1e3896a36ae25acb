"""The components of a sheet: one block read into one part with its track."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.procedure import generated
from assistant.procedure.draft import StepDraft, TrackDraft
from assistant.procedure.layout import CLEAN_AGAIN, LUMEN, STEP
from assistant.procedure.model import HAND_ON, Component, Method, Rounds, Treatment
from assistant.procedure.steps import read_step
from assistant.procedure.tasks import Known, read_lumen

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from assistant.procedure.fields import Fields
    from assistant.procedure.finding import Findings, Mark
    from assistant.procedure.model import Bath

MOST_PIECES = 99
MOST_ROUNDS = 9
_USUAL_ROUNDS = 2  # our own choice, no source


def read_track(
    fields: Fields, baths: dict[str, Bath | None], words: Mapping[str, str], findings: Findings
) -> TrackDraft:
    """The part that the block states, with the places of its steps.

    Args:
        fields: the block.
        baths: the sheet's baths by id; None for one in which something is wrong.
        words: texts of generated steps; empty where the language has none.
        findings: told what is wrong.
    """
    identifier = fields.identifier("id") or f"line-{fields.mark.line}"
    if identifier == generated.INTAKE:
        fields.refuse("id", f'"{identifier}" is the track of the intake', "choose another id")
    lumen_blocks = fields.blocks("lumens", LUMEN)
    unique("id of a lumen", [(b.text("id"), b.mark_of("id")) for b in lumen_blocks], findings)
    known = Known(baths, {block.identifier("id"): read_lumen(block) for block in lumen_blocks})
    blocks = fields.blocks("steps", STEP)
    of_blocks = [(block, read_step(block, identifier, known, words)) for block in blocks]
    drafts = [draft for _, made in of_blocks for draft in made]
    ids = [(block.text("id"), block.mark_of("id")) for block in blocks]
    # What a block is made of beside its own step, which comes last, has ids too.
    ids += [
        (draft.step.id.removeprefix(f"{identifier}."), block.mark)
        for block, made in of_blocks
        for draft in made[:-1]
    ]
    if "treatment" in fields:
        ids.append((HAND_ON, fields.mark))
    unique("id of a step in this track", sorted(ids, key=lambda one: one[1]), findings)
    _unsayable(fields, findings)
    treatment = fields.member("treatment", Treatment) if "treatment" in fields else None
    part = Component(
        id=identifier,
        name=fields.text("name"),
        onward=fields.text("onward"),
        steps=(),
        also=tuple(text for text, _ in fields.texts("also")),
        count=fields.whole("count", 1, MOST_PIECES, 1),
        treatment=treatment,
        adapters=tuple(text for text, _ in fields.texts("adapters")),
        never=fields.members("never", Method),
        rounds=_rounds(fields, identifier, drafts),
    )
    if treatment is not None and words:
        drafts.append(StepDraft(generated.hand_on(words, part, treatment), fields.mark))
    part = replace(part, steps=tuple(draft.step for draft in drafts))
    return TrackDraft(part, fields.mark_of("id"), tuple(drafts), fields.mark_of("never"))


def _rounds(fields: Fields, track: str, drafts: list[StepDraft]) -> Rounds | None:
    """How the part is cleaned again: as the sheet says, else from its first rinse on."""
    steps = [draft.step for draft in drafts]
    block = fields.block("clean_again", CLEAN_AGAIN)
    if block is None:
        rinses = [step.id for step in steps if step.first_rinse]
        start = (rinses or [step.id for step in steps] or [""])[0]
        return Rounds(start, _USUAL_ROUNDS)
    wanted = f"{track}.{block.text('start')}"
    if wanted not in {step.id for step in steps}:
        block.refuse("start", f'there is no step "{block.text("start")}" here', "name one of them")
    return Rounds(wanted, block.whole("most", 1, MOST_ROUNDS, _USUAL_ROUNDS))


def _unsayable(fields: Fields, findings: Findings) -> None:
    """Notes the names that nobody could say."""
    for name, mark in (*names(fields), *fields.texts("adapters")):
        if not all(word.isalpha() for word in name.split()):
            findings.add(
                mark,
                f'the name "{name}" cannot be said',
                "write words of letters only, as they are spoken",
            )


def names(fields: Fields) -> list[tuple[str, Mark]]:
    """The spoken names of a component, in small letters, with their places."""
    also = fields.texts("also") if "also" in fields else ()
    found = [(fields.text("name"), fields.mark_of("name")), *also]
    return [(name.casefold(), mark) for name, mark in found if name]


def unique(what: str, items: Iterable[tuple[str, Mark]], findings: Findings) -> None:
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
