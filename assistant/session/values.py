"""Decisions about what is spoken as a value: readings, lots, dates, and its read-back.

Limits are judged here and not by the grammar: a grammar that knows only legal
values would bend a wrong one into a legal one.
"""

from __future__ import annotations

from decimal import Decimal, InvalidOperation
from typing import TYPE_CHECKING

from assistant.procedure.model import (
    ElapsedTask,
    ExpiryTask,
    LotTask,
    ReadingTask,
    Role,
    TestTask,
)
from assistant.procedure.quantity import Dimension, Place, Quantity, QuantityError, Unit
from assistant.session import event as ev
from assistant.session.bath_check import measured
from assistant.session.bathing import mended
from assistant.session.moment import AtStep, Moment, ask, refuse
from assistant.session.moves import complete, expects
from assistant.session.refusal import Refusal
from assistant.session.table import Stage
from assistant.session.track import blockers, present
from assistant.trade.identity import IdentityError
from assistant.trade.label_date import label_date

if TYPE_CHECKING:
    from datetime import date

    from assistant.procedure.model import Step
    from assistant.session.state import Running, State

_Events = tuple[ev.Event, ...]
_MINUTE_S = 60


def reading(moment: Moment) -> _Events:
    """A measured number, for whatever asks for one: a step, a test, or a bath again."""
    step = present(moment.procedure, moment.state, moment.state.focus)
    component = moment.component
    if step is None and component.role is Role.BATH and component.id in moment.state.baths:
        step = component.steps[-1]
        return _read(moment, step)
    if step is None:
        return refuse(moment, Refusal.TRACK_DONE, component.name)
    progress = moment.state.progress.get(step.id)
    if progress is None:
        waits = blockers(moment.procedure, moment.state, step)
        return refuse(moment, Refusal.WAITS_FOR, ", ".join(need.short for need in waits))
    if progress.stage is not Stage.READY:
        return expects(AtStep(moment, step, progress))
    return _read(moment, step)


def _read(moment: Moment, step: Step) -> _Events:
    task = step.task
    unit = _unit_of(step)
    if unit is None:
        progress = moment.state.progress[step.id]
        return expects(AtStep(moment, step, progress))
    try:
        quantity = _quantity(moment, unit)
    except InvalidOperation:
        return refuse(moment, Refusal.NOT_A_NUMBER, moment.command.value)
    except (QuantityError, ValueError):
        return refuse(moment, Refusal.WRONG_UNIT, unit)
    of = _of(step)
    value, kind = moment.command.value, ev.PendingKind.VALUE
    # What soaks in a bath is in doubt once it was outside: that is read back first.
    sure = isinstance(task, ReadingTask) and not _soaking(moment.state, task.bath)
    if sure and isinstance(task, ReadingTask) and _place(task, quantity) is not Place.WITHIN:
        return _outside(moment, step, task, quantity, value)
    return ask(moment, kind, of, value, quantity.unit, step=step.id)


def _place(task: ReadingTask, quantity: Quantity) -> Place:
    return task.window.judge(quantity).place


def _soaking(state: State, bath: str) -> tuple[Running, ...]:
    """What lies in a bath."""
    return tuple(dwell for dwell in state.running() if bath and dwell.bath == bath)


def _unit_of(step: Step) -> Unit | None:
    """The unit in which the step takes a number; None where it takes none."""
    match step.task:
        case ReadingTask(window=window):
            return window.unit
        case ElapsedTask():
            return Unit.MINUTE
        case TestTask(unit=unit):
            return unit
    return None


def _of(step: Step) -> str:
    match step.task:
        case ReadingTask(of=of) | ElapsedTask(of=of) | TestTask(of=of):
            return of
        case LotTask(of=of) | ExpiryTask(of=of):
            return of
    return step.short


def _quantity(moment: Moment, usual: Unit) -> Quantity:
    """The number as spoken, in the usual unit where none was spoken."""
    unit = Unit(moment.command.unit) if moment.command.unit else usual
    quantity = Quantity(Decimal(moment.command.value), unit)
    quantity.to(usual)  # refuses another dimension
    return quantity


def _outside(
    moment: Moment, step: Step, task: ReadingTask, quantity: Quantity, value: str
) -> _Events:
    """A reading outside its window; of a bath it is kept, and its soaks are in doubt."""
    unit, window, place = quantity.unit, str(task.window), _place(task, quantity)
    if not task.bath:
        line = _distance(task, quantity)
        return (
            ev.ValueRefused(moment.at, step.id, task.of, value, unit, window, place.value, (line,)),
        )
    found = measured(moment.procedure, moment.state, task.bath, value, unit, moment.at)
    refused = ev.ValueRefused(moment.at, step.id, task.of, value, unit, window, place.value)
    detail = f"{quantity}, {window}"
    noted = tuple(
        ev.DeviationNoted(moment.at, ev.DeviationKind.BATH_OUT, d.component, d.step, detail)
        for d in _soaking(moment.state, task.bath)
    )
    advice = mended(moment, moment.procedure.bath(task.bath), quantity)
    return (refused, found, *advice, *noted)


def _distance(task: ReadingTask, quantity: Quantity) -> str:
    verdict = task.window.judge(quantity)
    return f"{quantity} is {verdict.distance} {verdict.place.value} {task.window}"


def lot(here: AtStep) -> _Events:
    """A spelled lot: refused where it is too short or too long, else read back."""
    return lot_of(here, here.moment.command.value)


def lot_of(here: AtStep, signs: str, raw: str = "") -> _Events:
    """A lot by its letters and digits, however they came."""
    task, moment = here.step.task, here.moment
    if not isinstance(task, LotTask) or here.progress.stage is not Stage.READY:
        return expects(here)
    limits = f"{task.least_signs}\u2013{task.most_signs}"
    reason = (
        "short" if len(signs) < task.least_signs else "long" if len(signs) > task.most_signs else ""
    )
    if reason:
        return (ev.ValueRefused(moment.at, here.step.id, task.of, signs, "", limits, reason),)
    return ask(moment, ev.PendingKind.VALUE, task.of, signs, step=here.step.id, raw=raw)


def expiry(here: AtStep) -> _Events:
    """A date of six digits: year, month, day; day zero is the end of its month."""
    task, moment = here.step.task, here.moment
    if not isinstance(task, ExpiryTask) or here.progress.stage is not Stage.READY:
        return expects(here)
    digits = moment.command.value
    try:
        day, _ = label_date(digits, "YYMMDD", moment.at.year, zero_ends_month=True)
    except IdentityError:
        of, limits = task.of, "YYMMDD"
        return (ev.ValueRefused(moment.at, here.step.id, of, digits, "", limits, "no_date"),)
    return expiry_on(here.moment, here.step, day)


def expiry_on(moment: Moment, step: Step, day: date, raw: str = "") -> _Events:
    """A last good day: refused where it is over, else read back."""
    of, today = _of(step), moment.at.date()
    if day < today:
        line = f"last good day {day}, today {today}"
        return (
            ev.ValueRefused(
                moment.at, step.id, of, day.isoformat(), "", today.isoformat(), "expired", (line,)
            ),
        )
    return ask(moment, ev.PendingKind.VALUE, of, day.isoformat(), step=step.id, raw=raw)


def accepted(moment: Moment, step: Step, pending: ev.ConfirmationAsked) -> ev.ValueAccepted:
    """The value that was read back and confirmed."""
    limits = str(step.task.window) if isinstance(step.task, ReadingTask) else ""
    return ev.ValueAccepted(moment.at, step.id, pending.of, pending.value, pending.unit, limits)


def settle_reading(here: AtStep, pending: ev.ConfirmationAsked) -> _Events:
    """A reading, lot or date that is right; a bath's temperature is told with what it means."""
    moment, task = here.moment, here.step.task
    if isinstance(task, ReadingTask):
        quantity = Quantity(Decimal(pending.value), Unit(pending.unit))
        if _place(task, quantity) is not Place.WITHIN:
            return _outside(moment, here.step, task, quantity, pending.value)
    given = accepted(moment, here.step, pending)
    if not isinstance(task, ReadingTask) or not task.bath:
        return complete(here, given)
    found = measured(
        moment.procedure,
        moment.after(given),
        task.bath,
        pending.value,
        Unit(pending.unit),
        moment.at,
    )
    if moment.present() is None:  # measured again, on a track that is done
        return (given, found)
    return complete(here, given, found)


def minutes_s(pending: ev.ConfirmationAsked) -> int:
    """Whole seconds of a spoken time."""
    quantity = Quantity(Decimal(pending.value), Unit(pending.unit))
    assert quantity.unit.dimension is Dimension.TIME  # noqa: S101 - judged when it was said
    return int(quantity.base)
