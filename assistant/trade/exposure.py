"""Splashed: how long to flush, and what an eyewash must give.

ANSI/ISEA Z358.1: 15 min of flushing, 0.4 gal/min, 60 to 100 °F, reached within 10 s
(read in mirrors).  First aid is what the facility's exposure plan says; these are
figures for it.
"""

from __future__ import annotations

from dataclasses import dataclass

from assistant.procedure.quantity import (
    Dimension,
    Place,
    Quantity,
    QuantityError,
    Window,
    duration_text,
    parse,
)
from assistant.trade.measure import not_negative, seconds
from assistant.trade.outcome import Outcome
from assistant.trade.worked import Worked

FLUSH_LEAST_S = 15 * 60
FLOW_LEAST = parse("0.4 gal/min")
TEPID = Window(parse("60 °F"), parse("100 °F"))
REACH_MOST_S = 10


@dataclass(frozen=True, slots=True)
class Flush:
    """How a flush stands.

    Attributes:
        left_s: seconds still to be flushed.
        may_stop: the least time is over: stop and seek medical care.
    """

    left_s: int
    may_stop: bool


def flush(elapsed_s: int, least_s: int = FLUSH_LEAST_S) -> Worked[Flush]:
    """How a flush stands after so many unbroken seconds.

    Args:
        elapsed_s: since the flush began; one that was broken off begins anew.
        least_s: the facility's own least time where it is longer than the standard's.

    Raises:
        QuantityError: a time below zero, or a least time shorter than the standard's.
    """
    if least_s < FLUSH_LEAST_S:
        raise QuantityError(
            f"a flush of {duration_text(max(least_s, 0))} is too short",
            f"give {duration_text(FLUSH_LEAST_S)} or more",
        )
    left_s = max(least_s - seconds(elapsed_s, "a flush"), 0)
    line = f"{duration_text(least_s)} - {duration_text(elapsed_s)}: {duration_text(left_s)} left"
    return Worked(Flush(left_s, left_s == 0), (line,))


def judge_eyewash(flow: Quantity, temperature: Quantity, reach_s: int) -> Worked[Outcome]:
    """PASS or FAIL of an eyewash: its flow, its temperature, the seconds to reach it.

    Raises:
        QuantityError: no flow or temperature, or below zero.
    """
    faults = []
    if not_negative(flow, Dimension.FLOW) < FLOW_LEAST.base:
        faults.append(f"{flow} is less than {FLOW_LEAST}")
    if TEPID.judge(temperature).place is not Place.WITHIN:
        faults.append(f"{temperature} is outside {TEPID}")
    if seconds(reach_s, "a way") > REACH_MOST_S:
        faults.append(f"{reach_s} s away, at most {REACH_MOST_S} s")
    outcome = Outcome.FAIL if faults else Outcome.PASS
    line = f"{flow}, {temperature}, {reach_s} s away (ANSI/ISEA Z358.1): {outcome}"
    return Worked(outcome, (*faults, line))
