"""The steps of a sheet: one block read into one step with its task."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from assistant.procedure.draft import StepDraft
from assistant.procedure.layout import DWELL, LOT, QUESTION, READING, SOAK, Layout
from assistant.procedure.model import (
    Act,
    Caution,
    Dwell,
    DwellKind,
    LotTask,
    Question,
    ReadingTask,
    Step,
)
from assistant.procedure.placeholder import SOURCES, bath_figures, fill, mistakes, task_figures
from assistant.procedure.quantity import duration_text

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from assistant.procedure.fields import Fields
    from assistant.procedure.model import Bath, Task

    # The sheet's baths by id; None for one in which something is wrong.
    Baths = Mapping[str, Bath | None]

MOST_LOT_SIGNS = 32


@dataclass(frozen=True, slots=True)
class _TaskDraft:
    """A task as read: None where something was wrong, and the bath that it names."""

    task: Task | None
    bath: str | None = None


def read_step(fields: Fields, track: str, baths: Baths) -> StepDraft:
    """The step that the block states; what is wrong is noted in the block's findings.

    Args:
        fields: the block.
        track: id of its component.
        baths: the sheet's baths by id; None for one in which something is wrong.
    """
    kind, draft = _task(fields, baths)
    contact = fields.reference("bath", baths, "bath")
    prepares = fields.reference("prepares", baths, "bath")
    if kind == "soak" and "bath" in fields:
        fields.refuse("bath", "the soak names its bath already", 'delete this "bath"')
    figures = _figures(fields, draft, contact or prepares or draft.bath, baths)
    identifier = f"{track}.{fields.identifier('id') or f'line-{fields.mark.line}'}"
    cautions = [_filled(fields, "cautions", text, figures) for text, _ in fields.texts("cautions")]
    step = Step(
        id=identifier,
        say=_filled(fields, "say", fields.text("say"), figures),
        short=_filled(fields, "short", fields.text("short"), figures),
        cautions=numbered_cautions(identifier, cautions),
        task=_filled_task(fields, draft.task or Act(), figures),
        needs=tuple(need for need, _ in fields.texts("needs")),
        mandatory=fields.yes("mandatory"),
    )
    return StepDraft(
        step=step,
        mark=fields.mark,
        needs=fields.texts("needs"),
        contact=draft.bath if kind == "soak" else contact,
        prepares=prepares,
        measures=draft.bath if kind == "reading" else None,
        soaks=kind == "soak",
        first_rinse=fields.yes("first_rinse"),
    )


def numbered_cautions(step: str, texts: list[str]) -> tuple[Caution, ...]:
    """The cautions of a step, with ids in their order."""
    return tuple(
        Caution(f"{step}.caution-{number}", text) for number, text in enumerate(texts, start=1)
    )


def _task(fields: Fields, baths: Baths) -> tuple[str, _TaskDraft]:
    """The key of the step's task ("" for an act) and the task."""
    given = [key for key in _TASKS if key in fields]
    for extra in given[1:]:
        fields.refuse(
            extra, f'"{given[0]}" and "{extra}" stand in one step', "make two steps of them"
        )
    if not given:
        return "", _TaskDraft(Act())
    layout, reader = _TASKS[given[0]]
    block = fields.block(given[0], layout)
    return given[0], _TaskDraft(None) if block is None else reader(block, baths)


def _figures(
    fields: Fields, draft: _TaskDraft, bath_id: str | None, baths: Baths
) -> dict[str, str]:
    """The figures that the step's texts may speak; all of them where some cannot be known."""
    if draft.task is None or (any(key in fields for key in ("bath", "prepares")) and not bath_id):
        return dict.fromkeys(SOURCES, "")
    figures = task_figures(draft.task)
    if bath_id is None:
        return figures
    bath = baths[bath_id]
    return dict.fromkeys(SOURCES, "") if bath is None else bath_figures(bath) | figures


def _filled(fields: Fields, key: str, text: str, figures: Mapping[str, str]) -> str:
    for what, remedy in mistakes(text, figures):
        fields.refuse(key, f'in "{key}": {what}', remedy)
    return fill(text, figures)


def _filled_task(fields: Fields, task: Task, figures: Mapping[str, str]) -> Task:
    """The task with the placeholders of a question filled."""
    if not isinstance(task, Question):
        return task
    return Question(
        _filled(fields, "question", task.text, figures),
        _filled(fields, "question", task.if_not, figures),
    )


def _soak(block: Fields, baths: Baths) -> _TaskDraft:
    bath = block.reference("bath", baths, "bath")
    return _TaskDraft(_dwell(block, DwellKind.SOAK, bath) if bath else None, bath)


def _rinse(block: Fields, _baths: Baths) -> _TaskDraft:
    return _TaskDraft(_dwell(block, DwellKind.RINSE))


def _dry(block: Fields, _baths: Baths) -> _TaskDraft:
    return _TaskDraft(_dwell(block, DwellKind.DRY))


def _dwell(block: Fields, kind: DwellKind, bath: str | None = None) -> Dwell | None:
    least, most = block.seconds("least"), block.seconds("most")
    if least is not None and most is not None and most <= least:
        block.refuse(
            "most",
            f"most ({duration_text(most)}) is not more than least ({duration_text(least)})",
            "exchange the two, or correct the wrong one",
        )
        return None
    if least is None or (most is None and "most" in block):
        return None
    return Dwell(kind, least, most, bath)


def _reading(block: Fields, baths: Baths) -> _TaskDraft:
    of = block.text("of")
    if "bath" not in block:
        window = block.ends(None)
        return _TaskDraft(ReadingTask(of, window) if window else None)
    for end in ("least", "most"):
        if end in block:
            block.refuse(end, "the bath gives this reading its window", f'delete "{end}"')
    bath_id = block.reference("bath", baths, "bath")
    bath = baths[bath_id] if bath_id else None
    return _TaskDraft(ReadingTask(of, bath.temperature) if bath else None, bath_id)


def _lot(block: Fields, _baths: Baths) -> _TaskDraft:
    usual = LotTask("")
    least = block.whole("least_signs", 1, MOST_LOT_SIGNS, usual.least_signs)
    most = block.whole("most_signs", 1, MOST_LOT_SIGNS, max(least, usual.most_signs))
    if least > most:
        block.refuse(
            "most_signs",
            f"most_signs ({most}) is less than least_signs ({least})",
            "exchange the two, or correct the wrong one",
        )
    return _TaskDraft(LotTask(block.text("of"), least, most))


def _question(block: Fields, _baths: Baths) -> _TaskDraft:
    return _TaskDraft(Question(block.text("ask"), block.text("if_not")))


_TASKS: dict[str, tuple[Layout, Callable[[Fields, Baths], _TaskDraft]]] = {
    "soak": (SOAK, _soak),
    "rinse": (DWELL, _rinse),
    "dry": (DWELL, _dry),
    "reading": (READING, _reading),
    "lot": (LOT, _lot),
    "question": (QUESTION, _question),
}
