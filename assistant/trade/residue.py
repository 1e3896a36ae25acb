"""Cleaning verification: residue per surface, and adenosine triphosphate by light.

Alert and action levels are those of ISO 15883-5:2021 (read in a secondary copy).  A
meter's relative light units mean nothing on another meter, so each reading is judged
against a limit of its own meter and there is no limit to fall back on.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from assistant.procedure.quantity import Dimension, Quantity, QuantityError, Unit, parse
from assistant.trade.measure import not_negative, positive
from assistant.trade.outcome import Outcome
from assistant.trade.worked import TIMES, Worked, gives, shown


class Analyte(StrEnum):
    """What is measured of the soil."""

    PROTEIN = "protein"
    HAEMOGLOBIN = "haemoglobin"
    CARBOHYDRATE = "carbohydrate"
    TOC = "total organic carbon"
    ATP = "adenosine triphosphate"


@dataclass(frozen=True, slots=True)
class Levels:
    """The levels of one analyte, per surface; a value at a level has reached it.

    Attributes:
        alert: from here on the cleaning is looked into.
        action: from here on the device is cleaned again.
    """

    alert: Quantity
    action: Quantity


# ISO 15883-5:2021, alert and action levels.
LEVELS = {
    Analyte.PROTEIN: Levels(parse("3 µg/cm²"), parse("6.4 µg/cm²")),
    Analyte.HAEMOGLOBIN: Levels(parse("1.0 µg/cm²"), parse("2.2 µg/cm²")),
    Analyte.CARBOHYDRATE: Levels(parse("0.9 µg/cm²"), parse("1.8 µg/cm²")),
    Analyte.TOC: Levels(parse("6 µg/cm²"), parse("12 µg/cm²")),
    Analyte.ATP: Levels(parse("10 fmol/cm²"), parse("22 fmol/cm²")),
}

# What is found in the eluate, for a level per surface: both are base units.
FOUND_IN = {
    Unit.MICROGRAM_PER_SQUARE_CENTIMETRE: Unit.MICROGRAM,
    Unit.FEMTOMOLE_PER_SQUARE_CENTIMETRE: Unit.FEMTOMOLE,
}


@dataclass(frozen=True, slots=True)
class Meter:
    """A light meter with its own limit.

    Attributes:
        name: which meter, as it stands in the record; never empty.
        below: a reading passes below this many RLU, and fails at it.
    """

    name: str
    below: Quantity

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise QuantityError("a reading in RLU has no meter", "name the meter")
        positive(self.below, Dimension.LIGHT)


def per_surface(analyte: Analyte, found: Quantity, area: Quantity) -> Worked[Quantity]:
    """Residue per surface, in µg/cm², for adenosine triphosphate in fmol/cm².

    Args:
        analyte: what was measured.
        found: how much of it the whole sampled surface gave.
        area: the sampled surface.

    Raises:
        QuantityError: no such amount, no surface, or not above zero.
    """
    unit = LEVELS[analyte].action.unit
    amount = not_negative(found, FOUND_IN[unit].dimension)
    residue = Quantity.exactly(amount / positive(area, Dimension.SURFACE), unit)
    return Worked(residue, (f"{analyte} {found} ÷ {area} {gives(residue)}",))


def most_found(analyte: Analyte, area: Quantity) -> Worked[Quantity]:
    """The amount on a surface at which the action level is reached, in µg or fmol.

    Raises:
        QuantityError: no surface, or not above zero.
    """
    action = LEVELS[analyte].action
    total = action.base * positive(area, Dimension.SURFACE)
    amount = Quantity.exactly(total, FOUND_IN[action.unit])
    return Worked(amount, (f"{analyte} {action} {TIMES} {area} {gives(amount)}",))


def judge(analyte: Analyte, found: Quantity, area: Quantity) -> Worked[Outcome]:
    """PASS below the alert level, ALERT from there on, FAIL from the action level on.

    Raises:
        QuantityError: as ``per_surface``.
    """
    worked = per_surface(analyte, found, area)
    levels = LEVELS[analyte]
    # Against the exact quotient: a rounded one could cross a level.
    total = found.base / area.base
    if total >= levels.action.base:
        outcome = Outcome.FAIL
    elif total >= levels.alert.base:
        outcome = Outcome.ALERT
    else:
        outcome = Outcome.PASS
    line = f"alert at {levels.alert}, action at {levels.action} (ISO 15883-5:2021): {outcome}"
    return Worked(outcome, (*worked.steps, line))


def judge_light(meter: Meter, reading: Quantity) -> Worked[Outcome]:
    """PASS or FAIL of a reading of a light meter against that meter's limit.

    Raises:
        QuantityError: no RLU, or below zero.
    """
    passes = not_negative(reading, Dimension.LIGHT) < meter.below.base
    outcome = Outcome.PASS if passes else Outcome.FAIL
    line = f"{shown(reading)} on {meter.name}, less than {meter.below} passes there: {outcome}"
    return Worked(outcome, (line,))
