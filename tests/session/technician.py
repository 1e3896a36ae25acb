"""Whoever does what each step asks for, and turns to another track where it must wait."""

from decimal import Decimal

from whole import Whole

from assistant.procedure.model import (
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
    TallyKind,
    TallyTask,
    TestTask,
)
from assistant.session import event as ev
from assistant.session.command import Verb
from assistant.session.table import Stage
from assistant.session.track import START, elsewhere, present, stage

MOST_TURNS = 2000


def inside(window):
    """A value within a window, in its own unit."""
    if window.least is not None and window.most is not None:
        return (window.least.value + window.most.value) / 2
    return window.least.value if window.least is not None else window.most.value / 2


class Technician:
    """Does what each step asks for, and turns to another track where it must wait."""

    def __init__(self, procedure, *, late=False):
        self.led = Whole(procedure)
        self.late = late
        self.containers = 0

    def work(self):
        for _ in range(MOST_TURNS):
            if self.led.state.closed:
                return
            self.turn()
        raise AssertionError(f"still at {self.led.present()} after {MOST_TURNS} turns")

    def turn(self):
        led, state = self.led, self.led.state
        step = present(led.procedure, state, state.focus)
        if step is None or step.id not in state.progress:
            return self.elsewhere()
        at = stage(state, step)
        if at is Stage.DWELLING:
            return self.elsewhere()
        if at in (Stage.RIPE, Stage.OVERDUE):
            return led.say(Verb.NEXT)
        return self.do(step)

    def elsewhere(self):
        led, state = self.led, self.led.state
        ripe = [d for d in state.running() if state.progress[d.step].stage is not Stage.DWELLING]
        other = led.procedure.component(ripe[0].component) if ripe else None
        other = other or elsewhere(led.procedure, state)
        if other is not None:
            return led.say(Verb.SWITCH, other.id)
        if state.running():
            return led.wait(30)
        return led.yes(Verb.SIGN_OFF)

    def do(self, step):  # noqa: C901 - one case a task
        led, task = self.led, step.task
        match task:
            case Dwell(kind=kind):
                self.at_a_bath(step, START[kind])
            case ReadingTask(window=window):
                led.yes(Verb.READING, f"{Decimal(inside(window)):f}", str(window.unit))
            case ElapsedTask(most_s=most_s):
                led.yes(Verb.READING, str(most_s // 60 + self.late))
            case LotTask(least_signs=least):
                led.yes(Verb.LOT, "A1B2C3D4E5F6"[: max(least, 3)])
            case ExpiryTask():
                led.yes(Verb.EXPIRY, "341231")
            case Question() | CountTask() | InspectionTask():
                led.say(Verb.AFFIRM)
            case IdentifyTask():
                led.yes(Verb.DEVICE, led.procedure.id)
            case TallyTask(kind=TallyKind.PASS):
                self.at_a_bath(step, Verb.PASS, "clean")
            case TallyTask():
                self.at_a_bath(step, Verb.FILL)
            case TestTask():
                led.yes(Verb.READING, self.passing(task), str(task.unit))
            case HandOnTask(treatment=treatment):
                led.say(Verb.HAND_ON, str(treatment))
                self.containers += 1
                led.yes(Verb.CONTAINER, f"C{self.containers}")
            case _:
                self.at_a_bath(step, Verb.NEXT)

    def at_a_bath(self, step, verb, value=""):
        """A command that a bay or a bath may stand against."""
        for event in self.led.say(verb, value):
            if isinstance(event, ev.CommandRefused):
                self.renew(step, event)

    def renew(self, step, refused):
        """A bay is taken, or a bath worn out, in doubt or gone: wait, measure, or make it fresh."""
        led = self.led
        if refused.reason == "bay_in_use":
            led.wait(60)
            self.elsewhere()
            return
        if refused.reason == "bay_not_ready":
            return  # the step before, that makes it ready, is present again
        assert refused.reason.startswith("bath_"), (step.id, refused)
        if any(dwell.bath == step.bath for dwell in led.state.running()):
            led.wait(60)
            self.elsewhere()
            return
        led.say(Verb.SWITCH, step.bath)
        measured = refused.reason in ("bath_doubtful", "bath_cools")
        if measured and step.bath in led.state.baths:
            window = led.procedure.bath(step.bath).temperature
            led.yes(Verb.READING, f"{window.most.value:f}", str(window.unit))
        elif present(led.procedure, led.state, step.bath) is None:
            led.yes(Verb.FRESH_BATH)

    def passing(self, task):
        match task.judge:
            case LeakJudge(start=start):
                return self.led.state.progress[start].value
            case LightJudge(meter=meter):
                return f"{meter.below.value / 2:f}"
            case LimitJudge(window=window):
                return f"{inside(window):f}"
        return "0.5"
