"""A bath that cools: how long it stays within its window.

Newton's law: the difference between bath and room falls by the same share in each
minute, T(t) = room + (T(0) - room) * exp(-rate * t).  The rate belongs to one basin,
one fill and one room; it is stated by who knows them, or fitted from readings.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_DOWN, Context, Decimal
from typing import TYPE_CHECKING

from assistant.procedure.quantity import (
    Dimension,
    Place,
    Quantity,
    QuantityError,
    Window,
    duration_text,
)
from assistant.trade.measure import measure, seconds
from assistant.trade.worked import Worked

if TYPE_CHECKING:
    from collections.abc import Sequence
    from fractions import Fraction

_CONTEXT = Context(prec=28)
_MINUTE_S = 60


@dataclass(frozen=True, slots=True)
class Cooling:
    """How a bath cools.

    Attributes:
        room: temperature of the air around the basin.
        per_min: the rate, in 1/min, above zero.
    """

    room: Quantity
    per_min: Decimal

    def __post_init__(self) -> None:
        measure(self.room, Dimension.TEMPERATURE)
        if not self.per_min.is_finite() or self.per_min <= 0:
            raise QuantityError(
                f"a cooling rate of {self.per_min} per min is no cooling", "give one above zero"
            )


def fit(room: Quantity, readings: Sequence[tuple[int, Quantity]]) -> Worked[Cooling]:
    """The cooling of a bath from readings: least squares on the logarithm of the difference.

    Args:
        room: temperature of the air around the basin.
        readings: (seconds on one clock, temperature), two or more, in any order.

    Raises:
        QuantityError: fewer than two moments, a reading at room temperature or on its
            other side, or readings that do not come nearer to it.
    """
    ambient = measure(room, Dimension.TEMPERATURE)
    above = [measure(temperature, Dimension.TEMPERATURE) - ambient for _, temperature in readings]
    if len({at_s for at_s, _ in readings}) < 2:  # noqa: PLR2004 - a line needs two points
        raise QuantityError(
            "a cooling rate needs readings at two moments", "measure again some minutes later"
        )
    if not (all(difference > 0 for difference in above) or all(d < 0 for d in above)):
        raise QuantityError(
            f"the readings do not all lie on one side of the room's {room}",
            "correct the room's temperature or leave out the reading",
        )
    minutes = [Decimal(at_s) / _MINUTE_S for at_s, _ in readings]
    logs = [_CONTEXT.ln(_ratio(abs(difference))) for difference in above]
    rate = -_slope(minutes, logs)
    if rate <= 0:
        raise QuantityError(
            "the readings do not come nearer to the room's temperature",
            "measure again without adding water",
        )
    span = duration_text(max(at_s for at_s, _ in readings) - min(at_s for at_s, _ in readings))
    line = f"{len(readings)} readings over {span}, room {room}: {rate:.5f} per min"
    return Worked(Cooling(room, rate), (line,))


def after(cooling: Cooling, now: Quantity, elapsed_s: int) -> Quantity:
    """The bath's temperature when so many seconds have passed, in the unit of ``now``.

    Raises:
        QuantityError: no temperature, or a time below zero.
    """
    seconds(elapsed_s, "a wait")
    unit = now.unit
    measure(now, Dimension.TEMPERATURE)
    room = cooling.room.to(unit).value
    left = _CONTEXT.exp(-cooling.per_min * elapsed_s / _MINUTE_S)
    value = _CONTEXT.fma(_CONTEXT.subtract(now.value, room), left, room)
    return Quantity(value, unit)


def leaves(cooling: Cooling, now: Quantity, window: Window) -> Worked[int | None]:
    """Whole seconds until the bath leaves its window, rounded down; None for never.

    Args:
        cooling: how the bath cools, or warms where the room is hotter.
        now: the bath's temperature; outside the window the answer is 0.
        window: the detergent's temperatures.

    Raises:
        QuantityError: no temperature.
    """
    if window.judge(now).place is not Place.WITHIN:
        return Worked(0, (f"{now} is outside {window} already",))
    room = cooling.room
    cools = now.base > room.base
    end = window.least if cools else window.most
    course = f"from {now} towards the room's {room} at {cooling.per_min:.5f} per min"
    if end is None or window.judge(room).place is Place.WITHIN:
        return Worked(None, (f"{course} it never leaves {window}",))
    ratio = _ratio((now.base - room.base) / (end.base - room.base))
    left = _CONTEXT.ln(ratio) / cooling.per_min * _MINUTE_S
    whole = int(left.to_integral_value(ROUND_DOWN))
    return Worked(
        whole,
        (
            f"{course} it reaches {end} in {duration_text(whole)}",
            f"ln(({now} - {room}) ÷ ({end} - {room})) ÷ rate = ln({ratio:.4f}) ÷ rate",
        ),
    )


def outlasts(cooling: Cooling, now: Quantity, window: Window, soak_s: int) -> Worked[bool]:
    """True where the bath stays within its window to the end of a soak.

    Args:
        cooling: how the bath cools.
        now: the bath's temperature.
        window: the detergent's temperatures.
        soak_s: what is left of the longest soak in it, in seconds.

    Raises:
        QuantityError: no temperature, or a time below zero.
    """
    seconds(soak_s, "a soak")
    until = leaves(cooling, now, window)
    within = window.judge(now).place is Place.WITHIN
    enough = within and (until.value is None or until.value >= soak_s)
    at_end = Quantity(round(after(cooling, now, soak_s).value, 1), now.unit)
    line = (
        f"the longest soak has {duration_text(soak_s)} left and ends at {at_end}: "
        f"{'the bath lasts' if enough else 'the bath does not last'}"
    )
    return Worked(enough, (*until.steps, line))


def _slope(xs: Sequence[Decimal], ys: Sequence[Decimal]) -> Decimal:
    """Slope of the straight line with the least squares."""
    mean_x = sum(xs, Decimal(0)) / len(xs)
    # The mean of ys drops out: the distances from the mean of xs add up to 0.
    covariance = sum(((x - mean_x) * y for x, y in zip(xs, ys, strict=True)), Decimal(0))
    return covariance / sum(((x - mean_x) ** 2 for x in xs), Decimal(0))


def _ratio(value: Fraction) -> Decimal:
    """The fraction as a decimal of 28 digits."""
    return _CONTEXT.divide(Decimal(value.numerator), Decimal(value.denominator))
