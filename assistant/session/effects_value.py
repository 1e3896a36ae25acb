"""What is said about values: read back, refused, accepted."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.procedure.model import (
    ExpiryTask,
    LotTask,
    Otherwise,
    Question,
    ReadingTask,
    TestTask,
)
from assistant.session import event as ev
from assistant.session.effect import Effect, Prompt, Say, Slot, Style, Tone, ToneName, say, slots
from assistant.session.state import NO
from assistant.session.track import find

if TYPE_CHECKING:
    from assistant.procedure.model import Procedure, Step
    from assistant.session.state import State

# How the value of a step is spoken: a lot by its signs, a number by its digits.
_STYLES: dict[type[object], Style] = {
    LotTask: Style.SPELLED,
    ExpiryTask: Style.PLAIN,
    Question: Style.PLAIN,
}


def _style(step: Step) -> Style:
    return _STYLES.get(type(step.task), Style.DIGITS)


def read_back(
    procedure: Procedure, event: ev.ConfirmationAsked, after: State
) -> tuple[Effect, ...]:
    """The question that waits for an answer."""
    kind = event.kind
    if kind is ev.PendingKind.VALUE:
        step = find(procedure, event.step)
        style = _style(step)
        value = Slot("value", event.value, style)
        key = "read_back_lot" if style is not Style.DIGITS else "read_back_reading"
        named = (Slot("of", event.of), value, Slot("unit", event.unit))
        return (Say((Prompt(key, named, step=event.step),)),)
    if kind is ev.PendingKind.SIGN_OFF:
        counts = str(len(after.deviations)), str(len(after.problems))
        return say("read_back_sign_off", deviations=counts[0], problems=counts[1])
    if kind is ev.PendingKind.CONTAINER:
        code = Slot("value", event.value, Style.SPELLED)
        choice = after.choices[after.focus]
        where = Slot("where", str(choice.disposition), Style.NAMES)
        return (Say((Prompt("read_back_container", (Slot("of", event.of), code, where)),)),)
    if kind is ev.PendingKind.DISPOSITION:
        where = Slot("where", event.of, Style.NAMES)
        part = Slot("component", procedure.component(after.focus).name)
        return (
            Say((Prompt("read_back_disposition", (part, where, Slot("reason", event.value))),)),
        )
    if kind is ev.PendingKind.IDENTITY:
        return (Say((Prompt("read_back_identity", (Slot("of", event.of, Style.LABEL),)),)),)
    return say(f"read_back_{kind}", of=event.of, reason=event.value)


def refused(procedure: Procedure, event: ev.ValueRefused, _after: State) -> tuple[Effect, ...]:
    """Why a value was not taken, and what to do about it."""
    step = find(procedure, event.step)
    named = (
        Slot("of", event.of),
        Slot("value", event.value, _style(step)),
        Slot("unit", event.unit),
        Slot("limits", event.limits),
    )
    bath = isinstance(step.task, ReadingTask) and bool(step.task.bath)
    key = f"value_{event.reason}{'_bath' if bath else ''}"
    return (Tone(ToneName.REFUSED), Say((Prompt(key, named, step=event.step),)))


def accepted(procedure: Procedure, event: ev.ValueAccepted, _after: State) -> tuple[Effect, ...]:
    """That a value is kept; what follows from a no."""
    task = find(procedure, event.step).task
    if isinstance(task, TestTask):
        return ()
    if not isinstance(task, Question):
        return say("value_recorded", of=event.of)
    if event.value == NO:
        told = {Otherwise.STAY: "answered_no", Otherwise.DAMAGE: "instead"}.get(task.otherwise)
        return say(told, instead=task.if_not) if told else ()
    return ()


def identified(_p: Procedure, event: ev.DeviceIdentified, _after: State) -> tuple[Effect, ...]:
    """What must be known about the device's code."""
    if not event.warnings:
        return say("identified")
    told = tuple(Prompt("label_warning", slots(warning=warning)) for warning in event.warnings)
    return (Tone(ToneName.ATTENTION), Say(told))
