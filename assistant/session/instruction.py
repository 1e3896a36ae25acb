"""What is said at a step: its cautions, then its instruction with what completes it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

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
    LightJudge,
    LotTask,
    Question,
    ReadingTask,
    TallyTask,
    TestTask,
    WaterJudge,
)
from assistant.session.effect import Prompt, Slot, Style, slots
from assistant.session.track import basin
from assistant.trade.water import Below

if TYPE_CHECKING:
    from assistant.procedure.model import Judge, Step
    from assistant.session.state import State

# By class of task, the key of what completes the step.
_KEYS: dict[type[object], str] = {
    Act: "step_act",
    BayTask: "step_act",
    ReadingTask: "step_reading",
    ElapsedTask: "step_elapsed",
    LotTask: "step_lot",
    ExpiryTask: "step_expiry",
    IdentifyTask: "step_identify",
    CountTask: "step_count",
    InspectionTask: "step_inspection",
}


def as_needed(step: Step, state: State) -> Step:
    """The step as it is said now: of what a bay may need, what it does need."""
    if not isinstance(step.task, BayTask):
        return step
    needed = step.task.needed(basin(state, step.task.place))
    return replace(step, say=" ".join(text for act, text in step.task.told if act in needed))


def step_prompts(step: Step, received_as: str = "") -> tuple[Prompt, ...]:
    """The cautions of a step, then its instruction.

    Args:
        step: to be done.
        received_as: what the code or name says that the device was received by.
    """
    cautions = (
        Prompt("caution", (Slot("text", caution.text),), step=step.id, caution=caution.id)
        for caution in step.cautions
    )
    return (*cautions, instruction(step, received_as))


def _limit(judge: Judge) -> str:
    """The limit of a test whose sheet may leave it to the station; "" where there is none."""
    match judge:
        case LightJudge(meter=meter):
            return str(Below(meter.below))
        case WaterJudge(grade=grade, of=of, table=table) if table is not None:
            return str(table.row(grade, of).allowed)
    return ""


def instruction(step: Step, received_as: str = "") -> Prompt:
    """A step's instruction, with what completes it."""
    said = Slot("say", step.say)
    match step.task:
        case IdentifyTask() if received_as:
            told = Slot("received", received_as, Style.LABEL)
            return Prompt("step_identify_received", (told,), step=step.id)
        case Dwell(kind=kind):
            return Prompt(f"step_{kind}", (said,), step=step.id)
        case Question(text=text):
            return Prompt("step_question", (said, Slot("question", text)), step=step.id)
        case TallyTask(kind=kind, least=least, lumen=lumen):
            figures = slots(least=str(least), lumen=lumen)
            return Prompt(f"step_{kind}", (said, *figures), step=step.id)
        case TestTask(judge=judge) if limit := _limit(judge):
            return Prompt("step_test_limit", (said, Slot("limit", limit)), step=step.id)
        case TestTask(unit=unit):
            return Prompt("step_test", (said, Slot("unit", unit)), step=step.id)
        case HandOnTask(treatment=treatment):
            return Prompt(f"step_hand_on_{treatment}", (said,), step=step.id)
    return Prompt(_KEYS[type(step.task)], (said,), step=step.id)
