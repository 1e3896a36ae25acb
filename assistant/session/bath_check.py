"""Whether a bath may take a part now, and how long it lasts: judgments, no commands."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from assistant.procedure.model import Dwell
from assistant.procedure.quantity import Place, Quantity, QuantityError, Unit, duration_text
from assistant.session import event as ev
from assistant.session.refusal import Refusal
from assistant.session.table import Stage
from assistant.session.track import applies
from assistant.trade import cooling
from assistant.trade.mixing import Portion, Way, to_window
from assistant.trade.renewal import Bounds, Reason, Service, reasons_to_change

if TYPE_CHECKING:
    from datetime import datetime

    from assistant.procedure.model import Bath, Procedure
    from assistant.session.state import BathNow, State
    from assistant.trade.cooling import Cooling
    from assistant.trade.mixing import Mix
    from assistant.trade.worked import Worked

_BEHIND = (Stage.DONE, Stage.SKIPPED)
_SOIL = "soil"
_DAY_S = 24 * 3600

_REFUSALS = {
    Reason.AGE: Refusal.BATH_AGE,
    Reason.USES: Refusal.BATH_USES,
    Reason.TEMPERATURE: Refusal.BATH_TEMPERATURE,
    Reason.SOILED: Refusal.BATH_SOILED,
    Reason.CARRIED_IN: Refusal.BATH_CARRIED_IN,
}


def unfit(
    procedure: Procedure,
    state: State,
    bath_id: str,
    at: datetime,
    component: str = "",
    soak_s: int = 0,
) -> tuple[Refusal, str, tuple[str, ...]] | None:
    """Why the bath may not take the part: the reason, what it is about, how it was got.

    Args:
        procedure: has the bath's limits.
        state: has what it has been through.
        bath_id: the bath.
        at: now.
        component: the part; one that it serves already is no further use of it.
        soak_s: seconds of the soak to come; 0 for work in the bath.
    """
    bath, now = procedure.bath(bath_id), state.baths.get(bath_id)
    if now is None or now.within is None:
        # A part may stand ready since before the bath was given up or made anew.
        made_here = any(component.id == bath_id for component in procedure.components)
        return (Refusal.BATH_DOUBTFUL, bath.name, ()) if made_here else None
    reasons = reasons_to_change(service(now, at, component), bounds(bath), soak_s)
    if reasons:
        working = tuple(line for reason in reasons for line in reason.steps)
        return _REFUSALS[reasons[0].value], _about(bath, reasons[0].value), working
    if now.doubtful:
        return Refusal.BATH_DOUBTFUL, bath.name, ()
    if now.leaves_at is not None:
        left_s = max(0, int((now.leaves_at - at).total_seconds()))
        if left_s < soak_s:
            line = (
                f"within its window for {duration_text(left_s)} more, "
                f"the soak takes {duration_text(soak_s)}"
            )
            return Refusal.BATH_COOLS, duration_text(left_s), (line,)
    return None


def service(now: BathNow, at: datetime, component: str = "") -> Service:
    """What a bath has been through, without a part that it serves already."""
    served = now.served - {component}
    return Service(
        age_s=max(0, int((at - now.made_at).total_seconds())),
        uses=now.uses + len(served),
        temperature=_last(now),
        visibly_soiled=now.spoiled == _SOIL,
        chemical_carried_in=now.spoiled not in ("", _SOIL),
    )


def bounds(bath: Bath) -> Bounds:
    """How long a bath may serve."""
    return Bounds(bath.temperature, bath.most_age_s, bath.most_uses)


def _last(now: BathNow) -> Quantity | None:
    if not now.readings:
        return None
    return Quantity(Decimal(now.readings[-1].value), Unit(now.readings[-1].unit))


def _about(bath: Bath, reason: Reason) -> str:
    """The limit that was reached."""
    if reason is Reason.AGE and bath.most_age_s is not None:
        return duration_text(bath.most_age_s)
    if reason is Reason.USES:
        return str(bath.most_uses)
    return str(bath.temperature)


def mending(procedure: Procedure, bath: Bath, at: Quantity) -> tuple[Quantity, Worked[Mix]] | None:
    """The station's water that brings a bath into its window, and how much of it.

    None where the temperatures of the taps are not known, or none of them helps.
    """
    cold = bath.temperature.judge(at).place is Place.BELOW
    for tap in sorted(procedure.tap, key=lambda tap: tap.base, reverse=cold):
        try:
            return tap, mixing(bath, at, tap)
        except QuantityError:
            continue
    return None


def mixing(bath: Bath, at: Quantity, tap: Quantity) -> Worked[Mix]:
    """How much water of a temperature, put in for as much taken out, mends a bath.

    Raises:
        QuantityError: that water cannot do it.
    """
    return to_window(Portion(bath.volume, at), tap, bath.temperature, Way.REPLACE)


def longest_soak_s(procedure: Procedure, state: State, bath_id: str) -> int:
    """Seconds of the longest soak that is still to come in a bath; 0 for none."""
    return max(
        (
            step.task.least_s
            for component in procedure.components
            if component.id not in state.absent
            for step in component.steps
            if isinstance(step.task, Dwell) and step.task.bath == bath_id and applies(step, state)
            if step.id not in state.progress or state.progress[step.id].stage not in _BEHIND
        ),
        default=0,
    )


def measured(procedure: Procedure, state: State, bath_id: str, value: str, unit: Unit,
             at: datetime) -> ev.BathMeasured:  # fmt: skip
    """A temperature of a bath, with how long it lasts and how that was got."""
    bath, now = procedure.bath(bath_id), state.baths.get(bath_id)
    reading = Quantity(Decimal(value), unit)
    verdict = bath.temperature.judge(reading)
    soak_s = longest_soak_s(procedure, state, bath_id)
    if verdict.place is not Place.WITHIN:
        line = f"{reading} is {verdict.distance} {verdict.place.value} {bath.temperature}"
        return ev.BathMeasured(at, bath_id, value, str(unit), False, None, soak_s, (line,))  # noqa: FBT003
    how, lines = _cooling(bath, now, reading, at)
    if how is None:
        line = f"{reading} is within {bath.temperature}"
        return ev.BathMeasured(at, bath_id, value, str(unit), True, None, soak_s, (line,))  # noqa: FBT003
    lasts = cooling.outlasts(how, reading, bath.temperature, soak_s)
    until = cooling.leaves(how, reading, bath.temperature)
    return ev.BathMeasured(
        at,
        bath_id,
        value,
        str(unit),
        within=True,
        # Beyond a day it is no forecast but rounding: readings that hardly differ.
        leaves_s=None if until.value is None or until.value > _DAY_S else until.value,
        soak_s=soak_s,
        working=(*lines, *lasts.steps),
    )


def _cooling(
    bath: Bath, now: BathNow | None, reading: Quantity, at: datetime
) -> tuple[Cooling | None, tuple[str, ...]]:
    """How the bath cools: fitted from its own readings where they tell, else as stated."""
    stated = bath.cooling
    if stated is None:
        return None, ()
    readings = [] if now is None else [
        (int((m.at - now.made_at).total_seconds()), Quantity(Decimal(m.value), Unit(m.unit)))
        for m in now.readings
    ]  # fmt: skip
    # After a reading outside the window somebody mends the bath, with or without a word.
    if now is not None and readings and now.within and not now.mixed:
        readings.append((int((at - now.made_at).total_seconds()), reading))
        try:
            fitted = cooling.fit(stated.room, readings)
        except QuantityError:
            # Readings that tell no cooling (too close together, water added, a warm
            # room): the stated rate stands.
            return stated, ()
        return fitted.value, fitted.steps
    return stated, ()
