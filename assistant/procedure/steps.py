"""The steps of a sheet: one block read into one step with its task, or into several.

A leak test is three steps (pump up, hold, read again), a rinse or a drying under
pressure is two (set the pressure, then the time): each is one thing to do and say.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.procedure import generated
from assistant.procedure.draft import StepDraft
from assistant.procedure.model import (
    Act,
    Dwell,
    DwellKind,
    LeakJudge,
    Method,
    Question,
    ReadingTask,
    Step,
    TestTask,
    When,
)
from assistant.procedure.placeholder import SOURCES, bath_figures, fill, mistakes, task_figures
from assistant.procedure.quantity import Window
from assistant.procedure.tasks import read_task
from assistant.procedure.water_use import Purpose, Use

if TYPE_CHECKING:
    from collections.abc import Mapping

    from assistant.procedure.fields import Fields
    from assistant.procedure.finding import Mark
    from assistant.procedure.model import Task
    from assistant.procedure.tasks import Known, TaskDraft

_STANDING = "standing "
_WATERS = {
    "first rinse": Purpose.FIRST_RINSE,
    "rinse": Purpose.RINSE,
    "final rinse": Purpose.FINAL_RINSE,
}


def read_step(
    fields: Fields, track: str, known: Known, words: Mapping[str, str]
) -> tuple[StepDraft, ...]:
    """The steps that the block states; what is wrong is noted in the block's findings.

    Args:
        fields: the block.
        track: id of its component.
        known: what it may refer to.
        words: texts of generated steps; without them a block gives one step only.
    """
    _, draft = read_task(fields, known)
    contact = _contact(fields, draft, known)
    figures = _figures(fields, draft, contact, known)
    identifier = f"{track}.{fields.identifier('id') or f'line-{fields.mark.line}'}"
    cautions = [
        _filled(fields, "cautions", text, figures, mark) for text, mark in fields.texts("cautions")
    ]
    first_rinse = fields.yes("first_rinse")
    bath = None if contact is None else known.baths[contact]
    step = Step(
        id=identifier,
        say=_filled(fields, "say", fields.text("say"), figures),
        short=_filled(fields, "short", fields.text("short"), figures),
        cautions=generated.cautions(identifier, cautions),
        task=_filled_task(fields, draft.task or Act(), figures),
        needs=tuple(need for need, _ in fields.texts("needs")),
        mandatory=fields.yes("mandatory") or first_rinse,
        bath=contact or "",
        first_rinse=first_rinse,
        use=_use(fields, contact, first_rinse=first_rinse),
        when=fields.member("when", When) if "when" in fields else None,
        working=draft.working or (bath.working if bath and "{dose}" in fields.text("say") else ()),
    )
    methods = draft.methods | ({Method.SUBMERGE} if "bath" in fields else set())
    whole = StepDraft(step, fields.mark, fields.texts("needs"), contact, methods)
    return _expanded(whole, draft, words) if words else (whole,)


def _contact(fields: Fields, draft: TaskDraft, known: Known) -> str | None:
    """The bath whose detergent the part meets: it lies in it, is worked on in it, or wiped."""
    given = [key for key in ("bath", "wipe") if key in fields]
    if draft.bath:
        given.insert(0, "soak")
    for extra in given[1:]:
        fields.refuse(extra, f"the {given[0]} names its bath already", f'delete this "{extra}"')
    named = [fields.reference(key, known.baths, "bath") for key in ("bath", "wipe")]
    return draft.bath or named[0] or named[1]


def _use(fields: Fields, contact: str | None, *, first_rinse: bool) -> Use | None:
    """What the step does with water, as far as the sheet says."""
    if "wipe" in fields:
        return None
    if contact is not None:
        return Use(Purpose.BATH, contact)
    text = fields.text("water") if "water" in fields else ""
    standing = text.startswith(_STANDING)
    purpose = _WATERS.get(text.removeprefix(_STANDING))
    if text and purpose is None:
        known = ", ".join([*_WATERS, *(f"{_STANDING}{name}" for name in _WATERS)])
        fields.refuse("water", f'"{text}" is no use of water', f"write one of: {known}")
    if purpose is None:
        return Use(Purpose.FIRST_RINSE) if first_rinse else None
    return Use(purpose, standing=standing)


def _figures(fields: Fields, draft: TaskDraft, contact: str | None, known: Known) -> dict[str, str]:
    """The figures that the step's texts may speak; all of them where some cannot be known."""
    if draft.task is None or (any(key in fields for key in ("bath", "wipe")) and not contact):
        return dict.fromkeys(SOURCES, "")
    figures = task_figures(draft.task)
    if draft.leak is not None:
        figures |= {"window": str(draft.leak.pressure)}
    if contact is None:
        return figures
    bath = known.baths[contact]
    return dict.fromkeys(SOURCES, "") if bath is None else bath_figures(bath) | figures


def _filled(
    fields: Fields, key: str, text: str, figures: Mapping[str, str], mark: Mark | None = None
) -> str:
    """The text with its figures; mistakes are noted at the mark, else at the key's value."""
    for what, remedy in mistakes(text, figures):
        fields.refuse_at(mark or fields.mark_of(key), f'in "{key}": {what}', remedy)
    return fill(text, figures)


def _filled_task(fields: Fields, task: Task, figures: Mapping[str, str]) -> Task:
    """The task with the placeholders of a question filled."""
    if not isinstance(task, Question):
        return task
    return Question(
        _filled(fields, "question", task.text, figures),
        _filled(fields, "question", task.if_not, figures),
    )


def _expanded(
    whole: StepDraft, draft: TaskDraft, words: Mapping[str, str]
) -> tuple[StepDraft, ...]:
    """The draft with the steps that must come before it."""
    if draft.pressure is not None:
        return _pressed(whole, Window(None, draft.pressure), words)
    return (whole,) if draft.leak is None else _leak_steps(whole, draft, words)


def _pressed(whole: StepDraft, window: Window, words: Mapping[str, str]) -> tuple[StepDraft, ...]:
    """The pressure read within its window, then the step itself."""
    step = whole.step
    figures = {"window": str(window), "short": step.short}
    task = ReadingTask(words["pressure_of"], window)
    before = replace(
        generated.step(words, f"{step.id}-pressure", "pressure", task, figures),
        needs=step.needs,
        when=step.when,
    )
    return replace(whole, step=before), replace(whole, step=replace(step, needs=()), needs=())


def _leak_steps(
    whole: StepDraft, draft: TaskDraft, words: Mapping[str, str]
) -> tuple[StepDraft, ...]:
    """Pump up, hold, and read again, which is the step of the sheet's own id."""
    step, test = whole.step, draft.leak
    assert test is not None  # noqa: S101 - asked by ``_expanded``
    hold = Dwell(DwellKind.HOLD, test.least_s)
    figures = {"short": step.short, "window": str(test.pressure)} | task_figures(hold)
    pumped = ReadingTask(words["leak_pressure_of"], test.pressure)
    start = replace(
        generated.step(words, f"{step.id}-pressure", "leak_pressure", pumped, figures),
        cautions=step.cautions,
        needs=step.needs,
        when=step.when,
    )
    held = replace(
        generated.step(words, f"{step.id}-hold", "leak_hold", hold, figures), when=step.when
    )
    judge = LeakJudge(test, start.id, held.id)
    end = replace(
        step,
        cautions=(),
        needs=(),
        task=TestTask(words["leak_end_of"], test.pressure.unit, judge),
        mandatory=True,
    )
    later = replace(whole, needs=())
    return (
        replace(whole, step=start),
        replace(later, step=held),
        replace(later, step=end),
    )
