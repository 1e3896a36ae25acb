"""Decisions about what is counted, tested and inspected, and may fail."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from assistant.procedure.model import (
    InspectionTask,
    LeakJudge,
    LightJudge,
    LimitJudge,
    ResidueJudge,
    TallyKind,
    TallyTask,
    TestTask,
    WaterJudge,
)
from assistant.procedure.quantity import Place, Quantity, Unit
from assistant.session import event as ev
from assistant.session.command import Verb
from assistant.session.moment import AtStep, Moment, refuse
from assistant.session.moves import complete, entered, expects, touch
from assistant.session.refusal import Refusal
from assistant.session.rounds import failed, to_hand_on
from assistant.session.table import Stage
from assistant.trade import leak, lumen, residue, water
from assistant.trade.inspection import Remedy, remedy
from assistant.trade.outcome import Outcome
from assistant.trade.worked import Worked

if TYPE_CHECKING:
    from assistant.session.state import State

_Events = tuple[ev.Event, ...]

_CLEAN = "clean"
_TALLIED_BY = {TallyKind.PASS: Verb.PASS, TallyKind.FILL: Verb.FILL}


def tally(here: AtStep) -> _Events:
    """One more brush pass or syringe fill; the step ends with the last one."""
    task, moment = here.step.task, here.moment
    if (
        not isinstance(task, TallyTask)
        or moment.command.verb is not _TALLIED_BY[task.kind]
        or here.progress.stage is not Stage.READY
    ):
        return expects(here)
    met = touch(here)
    if any(isinstance(event, ev.CommandRefused) for event in met):
        return met
    count, result = here.progress.count + 1, moment.command.value
    if task.kind is TallyKind.PASS:
        left = lumen.passes_left(count, task.least, last_came_out_clean=result == _CLEAN)
    else:
        left = Worked(max(0, task.least - count), (f"{count} of {task.least} fills",))
    counted = ev.Tallied(
        moment.at,
        moment.component.id,
        here.step.id,
        task.kind,
        result,
        count,
        left.value,
        left.steps,
    )
    if not left.value:
        return complete(here, *met, counted)
    if task.most is not None and count >= task.most:
        return failed(here, ev.DeviationKind.TEST_FAILED, left.steps[0], *met, counted)
    return (*met, counted)


def tested(here: AtStep, pending: ev.ConfirmationAsked) -> _Events:
    """A value that was read back: pass, alert, fail or void."""
    task, moment = here.step.task, here.moment
    assert isinstance(task, TestTask)  # noqa: S101 - a pending value is of its step
    quantity = Quantity(Decimal(pending.value), Unit(pending.unit))
    found = judged(task, quantity, moment.state)
    fact = ev.Tested(
        moment.at,
        moment.component.id,
        here.step.id,
        task.of,
        pending.value,
        pending.unit,
        found.value,
        found.steps,
    )
    if found.value is Outcome.VOID:
        return (fact, *_from_the_start(moment, task, fact))
    if found.value is not Outcome.FAIL:
        return complete(here, fact)
    detail = f"{task.of}: {pending.value} {pending.unit}"
    if isinstance(task.judge, LeakJudge | LimitJudge):
        return _unsound(here, detail, fact)
    return failed(here, ev.DeviationKind.TEST_FAILED, detail, fact)


def judged(task: TestTask, quantity: Quantity, state: State) -> Worked[Outcome]:
    """What the value comes to, with how that was got.

    Args:
        task: by what it is judged.
        quantity: the value.
        state: has the pressure before a hold, and how long that was.
    """
    judge = task.judge
    match judge:
        case LeakJudge():
            start, hold = state.progress[judge.start], state.progress[judge.hold]
            before = Quantity(Decimal(start.value), Unit(start.unit))
            return leak.judge(judge.test, before, quantity, int(hold.seconds or 0))
        case LightJudge():
            return residue.judge_light(judge.meter, quantity)
        case ResidueJudge():
            return residue.judge(judge.analyte, quantity, judge.area)
        case WaterJudge(table=None):
            line = f"{judge.of} {quantity}: entered, but no water table says what is allowed"
            return Worked(Outcome.ALERT, (line,))
        case WaterJudge(table=table):
            assert table is not None  # noqa: S101 - the case above
            return water.judge(table, judge.grade, judge.of, quantity)
        case LimitJudge():
            verdict = judge.window.judge(quantity)
            within = verdict.place is Place.WITHIN
            outcome = Outcome.PASS if within else Outcome.FAIL
            return Worked(outcome, (f"{quantity} against {judge.window}: {outcome}",))


def _from_the_start(moment: Moment, task: TestTask, fact: ev.Tested) -> _Events:
    """A void test is made again: a leak test from its first pressure on."""
    part = moment.component
    index = moment.index
    if isinstance(task.judge, LeakJudge):
        index = next(n for n, step in enumerate(part.steps) if step.id == task.judge.start)
    del fact  # it is told before this
    return (entered(part, index, moment.at, again=True),)


def _unsound(here: AtStep, detail: str, fact: ev.Tested) -> _Events:
    """A leak or a failed function is not made good by cleaning: to hold or to repair."""
    moment = here.moment
    kind = ev.DeviationKind.DAMAGED
    noted = ev.DeviationNoted(moment.at, kind, moment.component.id, here.step.id, detail)
    if isinstance(here.step.task, TestTask) and isinstance(here.step.task.judge, LimitJudge):
        return complete(here, fact, noted)
    return (fact, noted, *to_hand_on(moment, moment.after(fact, noted)))


def found(here: AtStep) -> _Events:
    """A finding at an inspection: soil means clean again, damage means repair."""
    moment = here.moment
    if here.progress.stage is not Stage.READY:
        return expects(here)
    what = moment.command.value
    noted = ev.ProblemNoted(moment.at, moment.component.id, here.step.id, what)
    if remedy(what) is Remedy.CLEAN_AGAIN:
        return failed(here, ev.DeviationKind.FOUND, what, noted)
    kind = ev.DeviationKind.DAMAGED
    damaged = ev.DeviationNoted(moment.at, kind, moment.component.id, here.step.id, what)
    return (noted, damaged)


def seen(here: AtStep) -> _Events:
    """The end of an inspection ("affirmative"); a "no" must name what was found."""
    if here.progress.stage is not Stage.READY:
        return expects(here)
    if here.moment.command.verb is Verb.DENY:
        return refuse(here.moment, Refusal.NAME_FINDING)
    return complete(here)


def inspecting(here: AtStep) -> bool:
    """Whether the present step is an inspection."""
    return isinstance(here.step.task, InspectionTask)
