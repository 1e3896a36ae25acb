"""Decisions about baths: taken over, mixed, spoiled, drawn afresh."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation
from typing import TYPE_CHECKING

from assistant.procedure.model import BathStep
from assistant.procedure.quantity import Quantity, QuantityError, Unit
from assistant.session import event as ev
from assistant.session.bath_check import bounds, mending, mixing, service
from assistant.session.moment import Moment, ask, refuse
from assistant.session.moves import turn_to
from assistant.session.refusal import Refusal
from assistant.session.state import BathNow
from assistant.session.track import bath_in_hand, drained
from assistant.trade.bath import detergent, usual_unit
from assistant.trade.renewal import reasons_to_change

if TYPE_CHECKING:
    from assistant.procedure.model import Bath
    from assistant.trade.mixing import Mix
    from assistant.trade.worked import Worked

_Events = tuple[ev.Event, ...]


def keep(moment: Moment) -> _Events:
    """Take a standing bath over; it is measured before it is used."""
    bath = bath_in_hand(moment.procedure, moment.state)
    stood = moment.state.standing.get(bath)
    if stood is None or bath in moment.state.baths:
        return refuse(moment, Refusal.NOT_STANDING)
    found = moment.procedure.bath(bath)
    now = BathNow(stood.made_at, stood.uses)
    reasons = reasons_to_change(service(now, moment.at), bounds(found))
    if reasons:
        working = tuple(line for reason in reasons for line in reason.steps)
        return refuse(moment, Refusal.NOT_STANDING, found.name, working)
    steps = moment.procedure.component(bath).steps
    last = f"{bath}.{BathStep.TEMPERATURE}"
    index = next(n for n, step in enumerate(steps) if step.id == last)
    behind = tuple(step.id for step in steps[:index])
    taken = ev.BathTaken(moment.at, bath, found.known_as, index, behind)
    return turn_to(moment, bath, taken)


def tap_water(moment: Moment) -> _Events:
    """Water of a stated temperature: how much of it brings the bath into its window."""
    bath_id = bath_in_hand(moment.procedure, moment.state)
    now = moment.state.baths.get(bath_id)
    if now is None or not now.readings:
        return refuse(moment, Refusal.NO_BATH)
    bath = moment.procedure.bath(bath_id)
    last = now.readings[-1]
    try:
        unit = Unit(moment.command.unit) if moment.command.unit else bath.temperature.unit
        tap = Quantity(Decimal(moment.command.value), unit)
        at = Quantity(Decimal(last.value), Unit(last.unit))
        mix = mixing(bath, at, tap)
    except (InvalidOperation, ValueError):
        return refuse(moment, Refusal.NOT_A_NUMBER, moment.command.value)
    except QuantityError as error:
        return refuse(moment, Refusal.NO_MIX, str(bath.temperature), (str(error),))
    return (_advised(moment, bath, tap, mix),)


def mended(moment: Moment, bath: Bath, at: Quantity) -> _Events:
    """The water that brings a bath into its window, where the station says how warm it is."""
    found = mending(moment.procedure, bath, at)
    if found is None:
        return ()
    tap, mix = found
    return (_advised(moment, bath, tap, mix, f"the station's tap gives water of {tap}"),)


def _advised(
    moment: Moment, bath: Bath, tap: Quantity, mix: Worked[Mix], *known: str
) -> ev.MixAdvised:
    """The advice, with the detergent that the new water needs."""
    dose, lines = _dose(bath, mix.value.water)
    return ev.MixAdvised(
        moment.at,
        bath.id,
        str(tap),
        str(mix.value.water.rounded()),
        dose,
        str(mix.value.after.rounded()),
        (*known, *mix.steps, *lines),
    )


def _dose(bath: Bath, water: Quantity) -> tuple[str, tuple[str, ...]]:
    """The detergent for the new water; nothing where none is needed."""
    unit = bath.measured_in or usual_unit(bath.dose)
    if not water.value:
        return str(Quantity(Decimal(0), unit)), ()
    found = detergent(water, bath.dose, unit)
    return str(found.value.rounded()), found.steps


def spoil(moment: Moment) -> _Events:
    """Soil is seen in the bath, or a chemical got into it: it must be changed."""
    bath = bath_in_hand(moment.procedure, moment.state)
    if bath not in moment.state.baths:
        return refuse(moment, Refusal.NO_BATH)
    spoiled = ev.BathSpoiled(moment.at, bath, moment.command.value)
    running = [dwell for dwell in moment.state.running() if dwell.bath == bath]
    noted = tuple(
        ev.DeviationNoted(
            moment.at, ev.DeviationKind.BATH_OUT, dwell.component, dwell.step, moment.command.value
        )
        for dwell in running
    )
    return (spoiled, *noted)


def fresh(moment: Moment) -> _Events:
    """Give the bath up for a fresh one: asked back, and not while a part lies in it."""
    bath = bath_in_hand(moment.procedure, moment.state)
    if bath not in moment.state.baths and not drained(moment.procedure, moment.state, bath):
        return refuse(moment, Refusal.NO_BATH)
    lying = [dwell for dwell in moment.state.running() if dwell.bath == bath]
    if lying:
        names = ", ".join(moment.procedure.component(d.component).name for d in lying)
        return refuse(moment, Refusal.BATH_IN_USE, names)
    return ask(moment, ev.PendingKind.FRESH_BATH, moment.procedure.bath(bath).name, bath)


def emptied(moment: Moment, pending: ev.ConfirmationAsked) -> _Events:
    """The bath is given up; its track is entered at its beginning."""
    bath, now = pending.value, moment.state.baths.get(pending.value)
    limits = bounds(moment.procedure.bath(bath))
    why = () if now is None else reasons_to_change(service(now, moment.at), limits)
    reasons = tuple(line for reason in why for line in reason.steps)
    steps = tuple(step.id for step in moment.procedure.component(bath).steps)
    return turn_to(moment, bath, ev.BathEmptied(moment.at, bath, steps, reasons))
