"""A procedure as a page of text: every figure, and all that will be spoken."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, assert_never

from assistant.procedure.model import (
    Act,
    BayTask,
    CountTask,
    Dwell,
    ElapsedTask,
    ExpiryTask,
    HandOnTask,
    IdentifyTask,
    InspectionTask,
    LeakJudge,
    LightJudge,
    LimitJudge,
    LotTask,
    Otherwise,
    Question,
    ReadingTask,
    ResidueJudge,
    Role,
    TallyKind,
    TallyTask,
    TestTask,
    WaterJudge,
    When,
)
from assistant.procedure.placeholder import bath_dose
from assistant.procedure.quantity import duration_text
from assistant.trade.residue import LEVELS

if TYPE_CHECKING:
    from collections.abc import Iterator

    from assistant.procedure.model import Bath, Component, Judge, Procedure, Step, Task


Sources = Mapping[str, Sequence[str]]


def describe(procedure: Procedure, sources: Sources | None = None) -> str:
    """The whole procedure as plain text, without a line end at its end.

    Args:
        procedure: what is told.
        sources: where each step, bath and track comes from, by id, and the procedure
            itself by ""; without them each step tells the policy that it owes itself to.
    """
    if sources is None:
        steps = (step for component in procedure.components for step in component.steps)
        sources = {step.id: (step.origin,) for step in steps if step.origin}
    return "\n".join(_lines(procedure, sources))


def _lines(procedure: Procedure, sources: Sources) -> Iterator[str]:
    yield f"{procedure.title} ({procedure.id}, revision {procedure.revision})"
    yield procedure.notice
    yield from _from("", sources, "")
    yield from _identity(procedure)
    for bath in procedure.baths:
        yield from ("", _bath(bath), *_from(bath.id, sources, "  "))
    for component in procedure.components:
        yield from ("", *_component(component, sources))


def _from(what: str, sources: Sources, indent: str) -> Iterator[str]:
    for source in sources.get(what, ()):
        yield f"{indent}from: {source}"


def _identity(procedure: Procedure) -> Iterator[str]:
    """By what the device is known, and who let the procedure be used."""
    if procedure.also:
        yield f"also called {', '.join(procedure.also)}"
    if procedure.codes:
        yield f"codes: {', '.join(sorted(procedure.codes))}"
    approval = procedure.approval
    if approval is None:
        yield "approved by nobody"
    else:
        yield f"approved by {approval.by} from {approval.on} until {approval.until}"


def _bath(bath: Bath) -> str:
    dose = bath_dose(bath).value.rounded()
    limits = [str(bath.temperature)]
    if bath.most_age_s is not None:
        limits.append(f"for at most {duration_text(bath.most_age_s)}")
    if bath.most_uses is not None:
        limits.append(f"for at most {bath.most_uses} parts")
    if bath.cooling is not None:
        limits.append(f"cools by {bath.cooling.per_min} per min towards {bath.cooling.room}")
    return (
        f"{bath.name}: {bath.volume.rounded()} of water, {bath.dose} of {bath.detergent} "
        f"= {dose}, {', '.join(limits)}"
    )


def _component(component: Component, sources: Sources) -> Iterator[str]:
    names = " or ".join(f'"{name}"' for name in (component.name, *component.also))
    pieces = f", {component.count} pieces" if component.count > 1 else ""
    yield f"{component.name}{pieces}, called {names}"
    if component.adapters:
        yield f"  adapters, which stay with it: {', '.join(component.adapters)}"
    if component.never:
        yield f"  never: {', '.join(sorted(component.never))}"
    if component.rounds is not None:
        yield f"  cleaned again from {component.rounds.start}, in {component.rounds.most} rounds"
    if component.role is not Role.BATH:  # a bath has told it already
        yield from _from(component.id, sources, "  ")
    for number, step in enumerate(component.steps, start=1):
        yield from _step(number, step)
        yield from _from(step.id, sources, "     ")
    if component.onward:
        yield f"  onward: {component.onward}"


def _step(number: int, step: Step) -> Iterator[str]:
    yield f"  {number}. {step.say}"
    marks = [
        "mandatory" if step.mandatory else "",
        "first rinse" if step.first_rinse else "",
        f"with {step.bath}" if step.bath else "",
        "only when delayed" if step.when is When.DELAYED else "",
        "also after a failed test" if step.when is When.ALWAYS else "",
    ]
    yield f"     {step.id}: {', '.join([step.short, *filter(None, marks)])}"
    for caution in step.cautions:
        yield f"     Caution: {caution.text}"
    for line in task_lines(step.task):
        yield f"     {line}"
    if step.needs:
        yield f"     after: {', '.join(step.needs)}"


def task_lines(task: Task) -> tuple[str, ...]:  # noqa: C901, PLR0912 - one case a task
    """What completes a step, with its limits; empty for something to do with the hands."""
    match task:
        case Act():
            return ()
        case BayTask():
            return ("passed over where the bay is ready",)
        case Dwell():
            most = "" if task.most_s is None else f", at most {duration_text(task.most_s)}"
            bath = f" in {task.bath}" if task.bath else ""
            return (f"{task.kind}{bath}: at least {duration_text(task.least_s)}{most}",)
        case ReadingTask():
            return (f"reading: {task.of}, {task.window}",)
        case ElapsedTask():
            return (f"{task.of}: at most {duration_text(task.most_s)}",)
        case LotTask():
            return (f"lot: {task.of}, {task.least_signs} to {task.most_signs} signs",)
        case ExpiryTask():
            return (f"date: {task.of}, today or later",)
        case Question():
            means = {
                Otherwise.MUST: " (nothing goes on before)",
                Otherwise.DAMAGE: " (to hold or repair)",
                Otherwise.SOIL: " (cleaned again)",
            }.get(task.otherwise, "")
            return (f"question: {task.text}", f"if not: {task.if_not}{means}")
        case IdentifyTask():
            return ("code or name of the device",)
        case CountTask():
            return (f"count: {', '.join(f'{item.count} {item.name}' for item in task.items)}",)
        case TallyTask():
            most = "" if task.most is None else f", at most {task.most}"
            what = f"{_TALLIED[task.kind]} through the {task.lumen}: at least {task.least}{most}"
            return (what, *_sizes(task))
        case TestTask():
            return (f"test: {task.of}, {judge_text(task.judge)}",)
        case InspectionTask():
            return (f"inspection: {task.of}, magnified {task.magnification}",)
        case HandOnTask():
            return (f"to {task.treatment}, clean again, hold or repair",)
        case _:
            assert_never(task)


def _sizes(task: TallyTask) -> tuple[str, ...]:
    """What goes through the lumen."""
    if task.brush is not None:
        brush, lumen = task.brush
        wide = f"brush {brush.diameter} wide, lumen {lumen.diameter}"
        return (f"{wide}; brush reaching {brush.reach}, lumen {lumen.length} long",)
    return () if task.volume is None else (f"{task.volume} in fills of {task.syringe}",)


_TALLIED = {TallyKind.PASS: "brush passes", TallyKind.FILL: "syringe fills"}


def judge_text(judge: Judge) -> str:
    """By what a test is judged."""
    match judge:
        case LeakJudge():
            return f"lost at most {judge.test.most_drop} in {duration_text(judge.test.least_s)}"
        case LightJudge():
            return f"below {judge.meter.below} on {judge.meter.name}"
        case ResidueJudge():
            return f"{judge.analyte} on {judge.area} below {LEVELS[judge.analyte].action}"
        case WaterJudge():
            table = "no table yet" if judge.table is None else judge.table.name
            return f"{judge.of} of {judge.grade} water by {table}"
        case LimitJudge():
            return str(judge.window)
