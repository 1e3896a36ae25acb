"""Contact with a high-level disinfectant: time, temperature, concentration, age.

Time outside the stated temperatures does not count.  The values belong to one
product's label; the published examples that the tests use are no default.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from assistant.procedure.quantity import (
    Dimension,
    Place,
    Quantity,
    QuantityError,
    Window,
    duration_text,
)
from assistant.trade.measure import measure, not_negative, positive, seconds
from assistant.trade.outcome import Outcome
from assistant.trade.worked import Worked

if TYPE_CHECKING:
    from collections.abc import Iterable


@dataclass(frozen=True, slots=True)
class Disinfectant:
    """A high-level disinfectant, from its label.

    Attributes:
        name: as it stands in the record.
        temperature: the temperatures at which time counts.
        least_s: seconds of contact, at least 1.
        least_effective: the minimum effective concentration, in %; itself enough.
        most_age_s: seconds for which it may be used again; None where the label
            states none.
    """

    name: str
    temperature: Window
    least_s: int
    least_effective: Quantity
    most_age_s: int | None = None

    def __post_init__(self) -> None:
        positive(self.least_effective, Dimension.SHARE)
        if self.least_s < 1:
            raise QuantityError(f"a contact of {self.least_s} s is none", "give 1 s or more")


def counted_s(disinfectant: Disinfectant, intervals: Iterable[tuple[Quantity, int]]) -> Worked[int]:
    """Seconds of contact that count.

    Args:
        disinfectant: says at which temperatures time counts.
        intervals: (temperature, seconds at it); for a falling or rising temperature
            give the least favourable of each interval.

    Raises:
        QuantityError: no temperature, or a time below zero.
    """
    total = 0
    lines = []
    for temperature, elapsed_s in intervals:
        measure(temperature, Dimension.TEMPERATURE)
        spent = duration_text(seconds(elapsed_s, "a contact"))
        counts = disinfectant.temperature.judge(temperature).place is Place.WITHIN
        if counts:
            total += elapsed_s
        lines.append(f"{spent} at {temperature} {'counts' if counts else 'does not count'}")
    lines.append(f"counted, {disinfectant.temperature}: {duration_text(total)}")
    return Worked(total, tuple(lines))


def judge(
    disinfectant: Disinfectant,
    intervals: Iterable[tuple[Quantity, int]],
    concentration: Quantity,
    age_s: int,
) -> Worked[Outcome]:
    """PASS where time, concentration and age are all as the label asks, else FAIL.

    Args:
        disinfectant: what the label asks.
        intervals: as for ``counted_s``.
        concentration: of the active ingredient before this use, in %.
        age_s: seconds since it was first used.

    Raises:
        QuantityError: not such quantities, or below zero.
    """
    contact = counted_s(disinfectant, intervals)
    lines = list(contact.steps)
    faults = []
    if contact.value < disinfectant.least_s:
        faults.append(f"contact is shorter than {duration_text(disinfectant.least_s)}")
    if not_negative(concentration, Dimension.SHARE) < disinfectant.least_effective.base:
        faults.append(f"{concentration} is below {disinfectant.least_effective}")
    seconds(age_s, "an age")
    if disinfectant.most_age_s is not None and age_s > disinfectant.most_age_s:
        faults.append(f"it is older than {duration_text(disinfectant.most_age_s)}")
    outcome = Outcome.FAIL if faults else Outcome.PASS
    return Worked(outcome, (*lines, *faults, f"{disinfectant.name}: {outcome}"))
