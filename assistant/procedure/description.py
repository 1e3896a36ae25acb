"""A procedure as a page of text: every figure, and all that will be spoken."""

from __future__ import annotations

from typing import TYPE_CHECKING, assert_never

from assistant.procedure.model import Act, Dwell, LotTask, Question, ReadingTask
from assistant.procedure.quantity import duration_text
from assistant.trade.bath import detergent_volume

if TYPE_CHECKING:
    from collections.abc import Iterator

    from assistant.procedure.model import Bath, Component, Procedure, Step, Task


def describe(procedure: Procedure) -> str:
    """The whole procedure as plain text, without a line end at its end."""
    return "\n".join(_lines(procedure))


def _lines(procedure: Procedure) -> Iterator[str]:
    yield f"{procedure.title} ({procedure.id}, revision {procedure.revision})"
    yield procedure.notice
    for bath in procedure.baths:
        yield from ("", _bath(bath))
    for component in procedure.components:
        yield from ("", *_component(component))


def _bath(bath: Bath) -> str:
    dose = detergent_volume(bath.volume, bath.dose).rounded()
    return (
        f"{bath.name}: {bath.volume.rounded()} of water, {bath.dose} of {bath.detergent} "
        f"= {dose}, {bath.temperature}"
    )


def _component(component: Component) -> Iterator[str]:
    names = " or ".join(f'"{name}"' for name in (component.name, *component.also))
    pieces = f", {component.count} pieces" if component.count > 1 else ""
    yield f"{component.name}{pieces}, called {names}"
    for number, step in enumerate(component.steps, start=1):
        yield from _step(number, step)
    yield f"  onward: {component.onward}"


def _step(number: int, step: Step) -> Iterator[str]:
    yield f"  {number}. {step.say}"
    yield f"     {step.id}: {step.short}{', mandatory' if step.mandatory else ''}"
    for caution in step.cautions:
        yield f"     Caution: {caution.text}"
    for line in _task(step.task):
        yield f"     {line}"
    if step.needs:
        yield f"     after: {', '.join(step.needs)}"


def _task(task: Task) -> tuple[str, ...]:
    match task:
        case Act():
            return ()
        case Dwell():
            most = "" if task.most_s is None else f", at most {duration_text(task.most_s)}"
            bath = f" in {task.bath}" if task.bath else ""
            return (f"{task.kind}{bath}: at least {duration_text(task.least_s)}{most}",)
        case ReadingTask():
            return (f"reading: {task.of}, {task.window}",)
        case LotTask():
            return (f"lot: {task.of}, {task.least_signs} to {task.most_signs} signs",)
        case Question():
            return (f"question: {task.text}", f"if not: {task.if_not}")
        case _:
            assert_never(task)
