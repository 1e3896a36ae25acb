"""The leak test: pressure put on, held for a time, and how much of it was lost."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.procedure.quantity import (
    Dimension,
    Place,
    Quantity,
    QuantityError,
    Window,
    duration_text,
)
from assistant.procedure.unit import MEASURES
from assistant.trade.measure import not_negative, seconds
from assistant.trade.outcome import Outcome
from assistant.trade.worked import Worked, shown


@dataclass(frozen=True, slots=True)
class LeakTest:
    """How a device is tested for leaks, from its procedure.

    Attributes:
        pressure: gauge pressures at which the hold may start.
        least_s: seconds to hold, at least 1.
        most_drop: pressure that may be lost in the hold; more is a leak.
    """

    pressure: Window
    least_s: int
    most_drop: Quantity

    def __post_init__(self) -> None:
        not_negative(self.most_drop, Dimension.PRESSURE)
        self.most_drop.to(self.pressure.unit)  # refuses a window of anything else
        if self.least_s < 1:
            raise QuantityError(f"a hold of {self.least_s} s is none", "give 1 s or more")


def judge(test: LeakTest, start: Quantity, end: Quantity, held_s: int) -> Worked[Outcome]:
    """PASS, FAIL for a leak, or VOID where the test must be made again.

    Args:
        test: how the device is tested.
        start: gauge pressure at the start of the hold.
        end: gauge pressure at its end.
        held_s: seconds between the two.

    A drop that is too large is a leak however short the hold was, and wherever it
    started.  A pressure that rises tells of a warming device or a gauge, not of a
    tight one.

    Raises:
        QuantityError: no pressure, below zero, or a time below zero.
    """
    seconds(held_s, "a hold")
    lost = not_negative(start, Dimension.PRESSURE) - not_negative(end, Dimension.PRESSURE)
    drop = Quantity.exactly(lost / MEASURES[start.unit].factor, start.unit)
    lines = [
        f"{start} to {end} in {duration_text(held_s)}: lost {shown(drop)}",
        f"at most {test.most_drop} in {duration_text(test.least_s)}",
    ]
    outcome = Outcome.VOID
    if lost > test.most_drop.base:
        outcome = Outcome.FAIL
    elif lost < 0:
        lines.append("the pressure rose: let the device and the gauge settle, and test again")
    elif test.pressure.judge(start).place is not Place.WITHIN:
        lines.append(f"the hold started outside {test.pressure}: test again")
    elif held_s < test.least_s:
        lines.append("the hold was too short: test again")
    else:
        outcome = Outcome.PASS
    return Worked(outcome, (*lines, outcome.value))
