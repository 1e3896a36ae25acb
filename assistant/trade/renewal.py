"""When a bath must be changed: from facts to reasons."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from assistant.procedure.quantity import (
    Place,
    Quantity,
    QuantityError,
    Window,
    duration_text,
)
from assistant.trade.measure import seconds
from assistant.trade.worked import Worked


class Reason(StrEnum):
    """Why a bath must be changed."""

    AGE = "age"
    USES = "uses"
    TEMPERATURE = "out of its window"
    SOILED = "visibly soiled"
    CARRIED_IN = "point-of-use chemical carried in"


@dataclass(frozen=True, slots=True)
class Bounds:
    """How long a bath may serve, from the detergent's label or the facility's policy.

    Attributes:
        temperature: the detergent's window.
        most_age_s: seconds for which it may be used; None where none is stated.
        most_uses: components that it may serve; None where none is stated.
    """

    temperature: Window
    most_age_s: int | None = None
    most_uses: int | None = None

    def __post_init__(self) -> None:
        for limit, of in ((self.most_age_s, "most age"), (self.most_uses, "most uses")):
            if limit is not None and limit < 1:
                raise QuantityError(f"a {of} of {limit} allows no use", "give 1 or more")


@dataclass(frozen=True, slots=True)
class Service:
    """What a bath has been through.

    Attributes:
        age_s: seconds since its detergent was added.
        uses: components that it has served.
        temperature: the last reading; None where it was not measured yet.
        visibly_soiled: soil is seen in it.
        chemical_carried_in: a point-of-use chemical got into it, as from a component
            that had no first rinse.
    """

    age_s: int
    uses: int
    temperature: Quantity | None
    visibly_soiled: bool = False
    chemical_carried_in: bool = False

    def __post_init__(self) -> None:
        seconds(self.age_s, "an age")
        if self.uses < 0:
            raise QuantityError(f"{self.uses} uses are below zero", "count the components served")


def reasons_to_change(
    service: Service, bounds: Bounds, next_soak_s: int = 0
) -> tuple[Worked[Reason], ...]:
    """Why the bath may not take one more component; empty where it may.

    Args:
        service: what the bath has been through.
        bounds: how long it may serve.
        next_soak_s: seconds of the soak to come, which the bath must last out.

    A bath out of its window may also be brought back with water (``trade.mixing``).

    Raises:
        QuantityError: a time below zero, or a reading that is no temperature.
    """
    seconds(next_soak_s, "a soak")
    found = []
    if bounds.most_age_s is not None:
        end_s = service.age_s + next_soak_s
        if service.age_s >= bounds.most_age_s or end_s > bounds.most_age_s:
            coming = f" and {duration_text(next_soak_s)} to come" if next_soak_s else ""
            line = f"{duration_text(service.age_s)} old{coming}, at most "
            found.append(Worked(Reason.AGE, (line + duration_text(bounds.most_age_s),)))
    if bounds.most_uses is not None and service.uses >= bounds.most_uses:
        line = f"served {service.uses}, at most {bounds.most_uses}"
        found.append(Worked(Reason.USES, (line,)))
    if service.temperature is not None:
        verdict = bounds.temperature.judge(service.temperature)
        if verdict.place is not Place.WITHIN:
            line = (
                f"{service.temperature} is {verdict.distance} {verdict.place.value} "
                f"{bounds.temperature}"
            )
            found.append(Worked(Reason.TEMPERATURE, (line,)))
    seen = (
        (service.visibly_soiled, Reason.SOILED, "soil is seen in it"),
        (service.chemical_carried_in, Reason.CARRIED_IN, "it dilutes or inactivates the detergent"),
    )
    found += [Worked(reason, (line,)) for is_so, reason, line in seen if is_so]
    return tuple(found)
