"""Forced-air drying: long enough, and not at more pressure than the device bears."""

from __future__ import annotations

from assistant.procedure.quantity import Dimension, Quantity, QuantityError, duration_text
from assistant.trade.measure import not_negative, positive, seconds
from assistant.trade.outcome import Outcome
from assistant.trade.worked import Worked


def judge(
    elapsed_s: int, least_s: int, pressure: Quantity, most_pressure: Quantity
) -> Worked[Outcome]:
    """PASS, VOID where the drying was too short, FAIL where the pressure was too high.

    Args:
        elapsed_s: seconds of forced air through the channel.
        least_s: the procedure's least time, at least 1 s.
        pressure: gauge pressure of the air.
        most_pressure: what the device bears; itself allowed.

    Too short is made good by drying on; too much pressure may have harmed the device.

    Raises:
        QuantityError: no pressure, below zero, or a time below zero.
    """
    if least_s < 1:
        raise QuantityError(f"a drying of {least_s} s is none", "give 1 s or more")
    short = seconds(elapsed_s, "a drying") < least_s
    high = not_negative(pressure, Dimension.PRESSURE) > positive(most_pressure, Dimension.PRESSURE)
    lines = [
        f"forced air {duration_text(elapsed_s)}, at least {duration_text(least_s)}",
        f"at {pressure}, at most {most_pressure}",
    ]
    if high:
        return Worked(Outcome.FAIL, (*lines, "the pressure was too high: inspect for damage"))
    if short:
        line = f"dry on for {duration_text(least_s - elapsed_s)}"
        return Worked(Outcome.VOID, (*lines, line))
    return Worked(Outcome.PASS, tuple(lines))
