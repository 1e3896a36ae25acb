"""The limits of a step as a card states them, in few words."""

from __future__ import annotations

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
    Question,
    ReadingTask,
    ResidueJudge,
    TallyKind,
    TallyTask,
    TestTask,
    WaterJudge,
)
from assistant.procedure.placeholder import task_figures
from assistant.procedure.quantity import duration_text
from assistant.trade.residue import LEVELS

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from assistant.procedure.model import Judge, Procedure, Step
    from assistant.trade.water import WaterTable


def facts(procedure: Procedure, step: Step, words: Mapping[str, str]) -> Iterator[str]:  # noqa: C901 - one case a task
    """What completes a step, with its limits, as far as its instruction does not state them.

    Args:
        procedure: the step's own.
        step: of any track.
        words: of the language.
    """
    task = step.task
    match task:
        case Dwell():
            yield from _dwell(procedure, step, task, words)
        case ReadingTask():
            if str(task.window) not in step.say:
                yield words["window"].format(of=task.of, window=task.window)
        case ElapsedTask():
            yield words["elapsed"].format(most=duration_text(task.most_s))
        case CountTask():
            items = ", ".join(f"{item.count} {item.name}" for item in task.items)
            if items not in step.say:
                yield words["count"].format(items=items)
        case TallyTask():
            yield from _tally(task, words)
        case TestTask():
            limit = judged(task.judge, words)
            yield words["window"].format(of=task.of, window=limit)
        case InspectionTask():
            if task.magnification not in step.say:
                yield words["magnified"].format(magnification=task.magnification)
        case (
            Act()
            | BayTask()
            | LotTask()
            | ExpiryTask()
            | Question()
            | IdentifyTask()
            | HandOnTask()
        ):
            return
        case _:
            assert_never(task)


def _dwell(
    procedure: Procedure, step: Step, dwell: Dwell, words: Mapping[str, str]
) -> Iterator[str]:
    if all(figure in step.say for figure in task_figures(dwell).values()):
        return
    least = duration_text(dwell.least_s)
    kind = words[dwell.kind.value]
    if dwell.most_s is None:
        text = words["dwell"].format(kind=kind, least=least)
    else:
        key = "dwell_more" if least in step.say else "dwell_most"
        text = words[key].format(kind=kind, least=least, most=duration_text(dwell.most_s))
    if dwell.bath is None or len(procedure.baths) == 1:
        yield text
    else:
        yield f"{text} {words['in_bath'].format(bath=procedure.bath(dwell.bath).name)}"


def _tally(task: TallyTask, words: Mapping[str, str]) -> Iterator[str]:
    if task.kind is TallyKind.FILL:
        yield words["fills"].format(
            lumen=task.lumen, least=task.least, syringe=task.syringe, volume=task.volume
        )
        return
    yield words["passes"].format(lumen=task.lumen, least=task.least, most=task.most)
    if task.brush is not None:
        brush, _ = task.brush
        yield words["brush"].format(diameter=brush.diameter, reach=brush.reach)


def judged(judge: Judge, words: Mapping[str, str]) -> str:
    """The limit by which a test passes."""
    match judge:
        case LeakJudge():
            held = duration_text(judge.test.least_s)
            return words["leak"].format(drop=judge.test.most_drop, time=held)
        case LightJudge():
            return words["light"].format(below=judge.meter.below, meter=judge.meter.name)
        case ResidueJudge():
            action = LEVELS[judge.analyte].action
            return words["residue"].format(analyte=judge.analyte, area=judge.area, action=action)
        case WaterJudge():
            limit = _allowed(judge, judge.table) or words["water_untold"]
            return words["water"].format(grade=judge.grade, limit=limit)
        case LimitJudge():
            return str(judge.window)
        case _:
            assert_never(judge)


def _allowed(judge: WaterJudge, table: WaterTable | None) -> str:
    """The table's limit; "" where there is no table, or no such row in it."""
    rows = () if table is None else table.rows
    return next(
        (str(row.allowed) for row in rows if (row.grade, row.of) == (judge.grade, judge.of)), ""
    )
