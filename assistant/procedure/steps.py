"""The steps of a sheet: one block read into one step with its task, or into several.

A leak test is three steps (pump up, hold, read again), a rinse or a drying under
pressure is two (set the pressure, then the time): each is one thing to do and say.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.procedure import generated
from assistant.procedure.draft import StepDraft
from assistant.procedure.layout import QUESTION
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
from assistant.procedure.placeholder import (
    SOURCES,
    bath_figures,
    dosed,
    fill,
    mistakes,
    task_figures,
)
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
_RINSING = frozenset({"", "rinse", "flush", "brush", "question"})
_WITHOUT_DETERGENT = frozenset({"rinse", "dry"})
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
    key, draft = read_task(fields, known)
    contact = _contact(fields, key, draft, known)
    figures = _figures(fields, draft, contact, known)
    identifier = f"{track}.{fields.identifier('id') or f'line-{fields.mark.line}'}"
    cautions = [
        _filled(fields, "cautions", text, figures, mark) for text, mark in fields.texts("cautions")
    ]
    first_rinse = _first_rinse(fields, key)
    bath = None if contact is None else known.baths[contact]
    asked = (draft.task.text, draft.task.if_not) if isinstance(draft.task, Question) else ()
    texts = (fields.text("say"), fields.text("short"), *asked)
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
        use=_use(fields, first_rinse=first_rinse) if contact is None else _use_of(fields, contact),
        when=fields.member("when", When) if "when" in fields else None,
        working=draft.working or (bath.working if bath and "{dose}" in fields.text("say") else ()),
        dosed=dosed((*texts, *(text for text, _ in fields.texts("cautions"))), figures),
    )
    whole = StepDraft(
        step,
        fields.mark,
        fields.texts("needs"),
        contact,
        draft.methods | _submerged(fields, step.use),
        draft.lumen,
    )
    return _expanded(whole, draft, words) if words else (whole,)


def _first_rinse(fields: Fields, task: str) -> bool:
    """Whether the step is the first rinse, which only some tasks can be."""
    first_rinse = fields.yes("first_rinse")
    if first_rinse and task not in _RINSING:
        fields.refuse(
            "first_rinse",
            f'"{task}" is no rinse',
            'delete "first_rinse", or make a step of its own for the rinse',
        )
    return first_rinse


def _submerged(fields: Fields, use: Use | None) -> frozenset[Method]:
    """That the part is laid under water: in a bath, or in a filled bay."""
    under = "bath" in fields or (use is not None and use.standing)
    return frozenset({Method.SUBMERGE}) if under else frozenset()


def _contact(fields: Fields, task: str, draft: TaskDraft, known: Known) -> str | None:
    """The bath whose detergent the part meets: it lies in it, is worked on in it, or wiped."""
    if task in _WITHOUT_DETERGENT and "bath" in fields:
        fields.refuse(
            "bath",
            f'"{task}" is not done in a detergent bath',
            'delete "bath", or make two steps of it',
        )
    given = [key for key in ("bath", "wipe") if key in fields]
    if draft.bath:
        given.insert(0, "soak")
    for extra in given[1:]:
        fields.refuse(extra, f'"{given[0]}" names its bath already', f'delete this "{extra}"')
    named = [fields.reference(key, known.baths, "bath") for key in ("bath", "wipe")]
    return draft.bath or named[0] or named[1]


def _use_of(fields: Fields, contact: str) -> Use | None:
    """What a step that meets detergent does with water: it lies in the bath, or is wiped."""
    if "water" in fields:
        fields.refuse("water", "the step is done with detergent already", 'delete this "water"')
    return None if "wipe" in fields else Use(Purpose.BATH, contact)


def _use(fields: Fields, *, first_rinse: bool) -> Use | None:
    """What a step without detergent does with water, as far as the sheet says."""
    text = fields.text("water") if "water" in fields else ""
    standing = text.startswith(_STANDING)
    purpose = _WATERS.get(text.removeprefix(_STANDING))
    if text and purpose is None:
        known = ", ".join([*_WATERS, *(f"{_STANDING}{name}" for name in _WATERS)])
        fields.refuse("water", f'"{text}" is no use of water', f"write one of: {known}")
    if purpose is None:
        return Use(Purpose.FIRST_RINSE) if first_rinse else None
    if first_rinse != (purpose is Purpose.FIRST_RINSE):
        fields.refuse(
            "water",
            f'"water" says "{text}", and "first_rinse" says {"yes" if first_rinse else "no"}',
            'a first rinse has "first_rinse: yes", and where it takes standing water '
            '"water: standing first rinse"',
        )
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
    block = fields.block("question", QUESTION)
    if not isinstance(task, Question) or block is None:
        return task
    text, if_not = (
        _filled(block, key, asked, figures)
        for key, asked in (("ask", task.text), ("if_not", task.if_not))
    )
    return replace(task, text=text, if_not=if_not)


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
    return (
        replace(whole, step=before, made=True),
        replace(whole, step=replace(step, needs=()), needs=()),
    )


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
        dosed=step.dosed,
    )
    held = replace(
        generated.step(words, f"{step.id}-hold", "leak_hold", hold, figures),
        when=step.when,
        bath=step.bath,
        use=step.use,
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
        # It is pumped up before it is laid into anything.
        replace(whole, step=start, contact=None, methods=draft.methods, made=True),
        replace(later, step=held, made=True),
        replace(later, step=end),
    )
