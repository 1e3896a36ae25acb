"""Decisions about what is spoken as a value: readings, lots, answers, read-backs."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation
from typing import TYPE_CHECKING

from assistant.procedure.model import LotTask, Question, ReadingTask
from assistant.procedure.quantity import Place, Quantity, QuantityError, Unit
from assistant.session import event as ev
from assistant.session.command import Verb
from assistant.session.moment import AtStep, Moment, refuse
from assistant.session.moves import complete, expects, lift, move_on
from assistant.session.refusal import Refusal
from assistant.session.table import Stage
from assistant.session.track import NO, YES

if TYPE_CHECKING:
    from assistant.session.event import ConfirmationAsked

_Events = tuple[ev.Event, ...]


def reading(here: AtStep) -> _Events:
    """A measured number: refused outside its window, else read back.

    The window is judged here and not by the grammar: a grammar that knows only
    legal numbers would bend a wrong one into a legal one.
    """
    task, moment = here.step.task, here.moment
    if not isinstance(task, ReadingTask) or here.progress.stage is not Stage.READY:
        return expects(here)
    try:
        quantity = _quantity(moment, task)
    except InvalidOperation:
        return refuse(moment, Refusal.NOT_A_NUMBER, moment.command.value)
    except (QuantityError, ValueError):
        return refuse(moment, Refusal.WRONG_UNIT, task.window.unit)
    place = task.window.judge(quantity).place
    if place is not Place.WITHIN:
        return _refused(here, task.of, quantity.unit, str(task.window), place.value)
    return (_asked(here, task.of, quantity.unit),)


def lot(here: AtStep) -> _Events:
    """A spelled lot: refused where it is too short or too long, else read back."""
    task, moment = here.step.task, here.moment
    if not isinstance(task, LotTask) or here.progress.stage is not Stage.READY:
        return expects(here)
    limits = f"{task.least_signs}\u2013{task.most_signs}"
    if len(moment.command.value) < task.least_signs:
        return _refused(here, task.of, "", limits, "short")
    if len(moment.command.value) > task.most_signs:
        return _refused(here, task.of, "", limits, "long")
    return (_asked(here, task.of, ""),)


def answer(here: AtStep) -> _Events:
    """A yes or a no to the step's own question.

    A no is a deviation and stays one; the step stays too, so that it can be
    mended and answered anew, or left by "next".
    """
    task, moment = here.step.task, here.moment
    if not isinstance(task, Question):
        return refuse(moment, Refusal.NOTHING_ASKED)
    if here.progress.stage is not Stage.READY:
        return expects(here)
    yes = moment.command.verb is Verb.AFFIRM
    given = ev.ValueAccepted(moment.at, here.step.id, task.text, YES if yes else NO, "", "")
    if yes:
        return complete(here, given)
    kind = ev.DeviationKind.ANSWERED_NO
    component = moment.component.id
    return (given, ev.DeviationNoted(moment.at, kind, component, here.step.id, task.text))


def settle(moment: Moment, pending: ConfirmationAsked) -> _Events:
    """What was read back is right."""
    match pending.kind:
        case ev.PendingKind.SIGN_OFF:
            state = moment.state
            counts = len(state.deviations), len(state.problems)
            return (ev.SignedOff(moment.at, state.operator, *counts),)
        case ev.PendingKind.ABANDON:
            return (ev.Abandoned(moment.at, moment.state.operator),)
    return _settle_step(moment, pending)


def withdraw(moment: Moment, pending: ConfirmationAsked) -> _Events:
    """What was read back is wrong: nothing comes of it."""
    return (ev.ConfirmationWithdrawn(moment.at, pending.kind, pending.of),)


def _settle_step(moment: Moment, pending: ConfirmationAsked) -> _Events:
    step = moment.present()
    assert step is not None  # noqa: S101 - a pending value or skip is of the present step
    here = AtStep(moment, step, moment.state.progress[step.id])
    if pending.kind is ev.PendingKind.VALUE:
        limits = str(step.task.window) if isinstance(step.task, ReadingTask) else ""
        given = ev.ValueAccepted(
            moment.at, step.id, pending.of, pending.value, pending.unit, limits
        )
        return complete(here, given)
    component = moment.component.id
    skipped = ev.StepSkipped(moment.at, component, step.id, moment.index, pending.value)
    noted = ev.DeviationNoted(
        moment.at, ev.DeviationKind.SKIPPED, component, step.id, pending.value
    )
    events = (*lift(here), skipped, noted)
    return (*events, *move_on(moment, moment.after(*events)))


def _quantity(moment: Moment, task: ReadingTask) -> Quantity:
    """The number as spoken, in the window's unit where none was spoken."""
    unit = Unit(moment.command.unit) if moment.command.unit else task.window.unit
    quantity = Quantity(Decimal(moment.command.value), unit)
    quantity.to(task.window.unit)  # refuses another dimension
    return quantity


def _refused(here: AtStep, of: str, unit: str, limits: str, reason: str) -> _Events:
    moment = here.moment
    value = moment.command.value
    return (ev.ValueRefused(moment.at, here.step.id, of, value, unit, limits, reason),)


def _asked(here: AtStep, of: str, unit: str) -> ev.Event:
    moment = here.moment
    kind = ev.PendingKind.VALUE
    return ev.ConfirmationAsked(moment.at, kind, here.step.id, of, moment.command.value, unit)
