"""Every shipped procedure can be led to its sign-off by what may be said at each moment."""

from decimal import Decimal

import pytest
from whole import Whole

from assistant.printing.code import SessionCode, session_of
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
    Role,
    TallyKind,
    TallyTask,
    TestTask,
)
from assistant.procedure.sheet import read
from assistant.session import event as ev
from assistant.session.command import Verb
from assistant.session.table import Stage
from assistant.session.track import START, elsewhere, present, stage
from assistant.station.opening import shipped

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

    def do(self, step):  # noqa: C901, PLR0912 - one case a task
        led, task = self.led, step.task
        match task:
            case Dwell(kind=kind):
                got = led.say(START[kind])
                refused = [e for e in got if isinstance(e, ev.CommandRefused)]
                if refused:
                    self.renew(step, refused[0])
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
                led.say(Verb.PASS, "clean")
            case TallyTask():
                led.say(Verb.FILL)
            case TestTask():
                led.yes(Verb.READING, self.passing(task), str(task.unit))
            case HandOnTask(treatment=treatment):
                led.say(Verb.HAND_ON, str(treatment))
                self.containers += 1
                led.yes(Verb.CONTAINER, f"C{self.containers}")
            case _:
                got = led.say(Verb.NEXT)
                refused = [e for e in got if isinstance(e, ev.CommandRefused)]
                if refused:
                    self.renew(step, refused[0])

    def renew(self, step, refused):
        """A bath is worn out or in doubt: measure it, or make it fresh."""
        assert refused.reason.startswith("bath_"), (step.id, refused)
        led = self.led
        if refused.reason in ("bath_doubtful", "bath_cools"):
            led.say(Verb.SWITCH, step.bath)
            window = led.procedure.bath(step.bath).temperature
            led.yes(Verb.READING, f"{window.most.value:f}", str(window.unit))
            return
        if any(dwell.bath == step.bath for dwell in led.state.running()):
            led.wait(60)
            self.elsewhere()
            return
        led.say(Verb.SWITCH, step.bath)
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


@pytest.mark.parametrize("late", [False, True], ids=["in time", "late"])
@pytest.mark.parametrize("path", shipped(), ids=lambda path: path.stem)
def test_a_shipped_procedure_is_led_from_intake_to_sign_off(path, late):
    procedure = read(path)
    technician = Technician(procedure, late=late)
    technician.work()
    state = technician.led.state
    assert state.closed
    assert state.open == ()
    expected = {p.id for p in procedure.parts if p.treatment is not None}
    assert set(state.disposed) == expected
    for part, gone in state.disposed.items():
        assert session_of(gone.label) == SessionCode(state.session, part)
    delayed = any(isinstance(s.task, ElapsedTask) for c in procedure.components for s in c.steps)
    assert state.delayed is (late and delayed)
    assert {c.role for c in procedure.components} >= {Role.INTAKE, Role.PART}
