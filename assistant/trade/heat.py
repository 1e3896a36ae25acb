"""Moist heat: the A0 value of ISO 15883-1, Annex B.

A0 is the sum of 10^((T - 80)/10) over the seconds spent at temperature T in °C
(z = 10 °C).  Time below 65 °C does not count.  A sink soak scores 0: it is
cleaning, never disinfection.
"""

from __future__ import annotations

from decimal import Context, Decimal
from typing import TYPE_CHECKING

from assistant.procedure.quantity import Quantity, QuantityError, Unit

if TYPE_CHECKING:
    from collections.abc import Iterable

# Exactly 65.0 °C counts: the rule excludes what is *below* it.
LEAST_C = Decimal(65)
_REFERENCE_C = Decimal(80)
_Z_C = Decimal(10)
_CONTEXT = Context(prec=28)


def a0(intervals: Iterable[tuple[Quantity, Decimal]]) -> Decimal:
    """A0 of a series of intervals, in seconds at 80 °C.

    Args:
        intervals: (temperature, seconds at it, at least 0); for a rising or
            falling temperature give the lowest of each interval.

    Raises:
        QuantityError: no temperature, or a time below zero.
    """
    total = Decimal(0)
    for temperature, seconds in intervals:
        if seconds < 0:
            raise QuantityError(f"{seconds} s is below zero", "give the time from start to end")
        total = _CONTEXT.add(total, _CONTEXT.multiply(_rate(temperature), seconds))
    return total


def hold_s(target: Decimal, temperature: Quantity) -> Decimal:
    """Seconds to hold the temperature until A0 reaches the target.

    Raises:
        QuantityError: no temperature, or one at which time does not count.
    """
    rate = _rate(temperature)
    if rate == 0:
        raise QuantityError(f'"{temperature}" adds nothing to A0', f"hold at least {LEAST_C} °C")
    return _CONTEXT.divide(target, rate)


def _rate(temperature: Quantity) -> Decimal:
    """A0 gained in one second."""
    celsius = temperature.to(Unit.CELSIUS).value
    if temperature.base < LEAST_C:
        return Decimal(0)
    exponent = _CONTEXT.divide(_CONTEXT.subtract(celsius, _REFERENCE_C), _Z_C)
    return _CONTEXT.power(Decimal(10), exponent)
