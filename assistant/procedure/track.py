"""The components of a sheet: one block read into one part with its track."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.procedure import generated
from assistant.procedure.draft import StepDraft, TrackDraft
from assistant.procedure.layout import CLEAN_AGAIN, LUMEN, STEP
from assistant.procedure.model import (
    Component,
    InspectionTask,
    LeakJudge,
    LimitJudge,
    Method,
    Rounds,
    TallyKind,
    TallyTask,
    TestTask,
    Treatment,
)
from assistant.procedure.naming import unique
from assistant.procedure.spelling import near
from assistant.procedure.steps import read_step
from assistant.procedure.tasks import Known, read_lumen

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from assistant.procedure.fields import Fields
    from assistant.procedure.finding import Findings, Mark
    from assistant.procedure.model import Bath, Step

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
    lumen_blocks = fields.blocks("lumens", LUMEN)
    for key in ("id", "name"):
        given = [(block.text(key), block.mark_of(key)) for block in lumen_blocks]
        unique(f"{key} of a lumen", given, findings)
    known = Known(baths, {block.identifier("id"): read_lumen(block) for block in lumen_blocks})
    blocks = fields.blocks("steps", STEP)
    made = [read_step(block, identifier, known, words) for block in blocks]
    drafts = [draft for each in made for draft in each]
    ids = [(block.text("id"), block.mark_of("id")) for block in blocks]
    unique("id of a step in this track", ids, findings)
    if not findings:
        # A step with a mistake may have meant to clean what nothing cleans.
        _uncleaned(lumen_blocks, drafts, findings)
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
        rounds=_rounds(fields, identifier, made),
    )
    if treatment is not None and words:
        handed = generated.hand_on(words, part, treatment)
        drafts.append(StepDraft(handed, fields.mark, made=True))
    _made_already(identifier, ids, drafts, findings)
    part = replace(part, steps=tuple(draft.step for draft in drafts))
    return TrackDraft(part, fields.mark_of("id"), tuple(drafts), fields.mark_of("never"))


def _made_already(
    track: str,
    ids: Iterable[tuple[str, Mark]],
    drafts: Iterable[StepDraft],
    findings: Findings,
) -> None:
    """Notes the ids that a step has which is made of another block."""
    taken = {draft.step.id for draft in drafts if draft.made}
    for identifier, mark in ids:
        if f"{track}.{identifier}" in taken:
            findings.add(
                mark,
                f'"{track}.{identifier}" is a step that is made for this part already',
                "choose another id",
            )


def _uncleaned(blocks: Iterable[Fields], drafts: Iterable[StepDraft], findings: Findings) -> None:
    """Notes the lumens that no step brushes or flushes."""
    cleaned = {draft.lumen for draft in drafts}
    for block in blocks:
        if block.text("id") not in cleaned:
            findings.add(
                block.mark_of("id"),
                f'no step brushes or flushes the lumen "{block.text("id")}"',
                'delete it, or name it in the "brush" or the "flush" of a step',
            )


def _rounds(fields: Fields, track: str, made: Sequence[tuple[StepDraft, ...]]) -> Rounds | None:
    """How the part is cleaned again: as the sheet says, else from its first rinse on.

    A round begins no later than the first step that can fail, or that step would not be
    done again.  A block that makes several steps begins with the first of them.
    """
    starts = {each[-1].step.id: each[0].step.id for each in made}
    order = list(starts)
    failing = next((n for n, each in enumerate(made) if _can_fail(each[-1].step)), len(made))
    block = fields.block("clean_again", CLEAN_AGAIN)
    if block is None:
        rinses = [n for n, each in enumerate(made) if each[-1].step.first_rinse]
        usual = rinses[0] if rinses and rinses[0] <= failing else 0
        return Rounds(starts[order[usual]], _USUAL_ROUNDS) if order else None
    most = block.whole("most", 1, MOST_ROUNDS, _USUAL_ROUNDS)
    wanted = f"{track}.{block.text('start')}"
    if wanted not in starts:
        known = [step.partition(".")[2] for step in order]
        what = f'there is no step "{block.text("start")}" here'
        block.refuse("start", what, near(block.text("start"), known))
        return None
    if order.index(wanted) > failing:
        block.refuse(
            "start",
            f'"{wanted}" comes after "{order[failing]}", which can fail and would not be done '
            "again",
            "begin with that step, or with one before it",
        )
    return Rounds(starts[wanted], most)


def _can_fail(step: Step) -> bool:
    """Whether a result of the step can send the part back to be cleaned again."""
    match step.task:
        case TestTask(judge=judge):
            # A leak, or a function that is lost, is not made good by cleaning.
            return not isinstance(judge, LeakJudge | LimitJudge)
        case TallyTask(kind=kind):
            return kind is TallyKind.PASS
    return isinstance(step.task, InspectionTask)
