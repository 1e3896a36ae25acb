"""A bath's arithmetic: how much water stands in a basin, how much detergent goes into it.

Exact throughout: volumes and doses are products of the given values, and only
``Quantity.rounded`` rounds, where a figure is spoken.

A label states a dose in one of four ways, and they differ: mL per litre of water;
fluid ounces per gallon of water; per cent by volume of the finished mixture; 1:n.
A 1:n is read as one part of detergent to n parts of water, and every line of
working says so; one part in n parts of mixture would be 1:(n-1).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from assistant.procedure.quantity import Dimension, Quantity, QuantityError, Unit
from assistant.trade.measure import positive
from assistant.trade.worked import TIMES, Worked, gives, shown

# The unit in which each kind of dose is measured out.
_MEASURED_IN = {
    Unit.MILLILITRE_PER_LITRE: Unit.MILLILITRE,
    Unit.FLUID_OUNCE_PER_GALLON: Unit.FLUID_OUNCE,
}
# The unit of the water in each of them.
_WATER_IN = {
    Unit.MILLILITRE_PER_LITRE: Unit.LITRE,
    Unit.FLUID_OUNCE_PER_GALLON: Unit.GALLON,
}
_RATIO = re.compile(r"1 ?: ?(?P<parts>[0-9]{1,6}(?:\.[0-9]{1,3})?)")


@dataclass(frozen=True, slots=True)
class Ratio:
    """A dilution of 1:n: one part of detergent to n parts of water.

    Attributes:
        parts: n, above zero.
    """

    parts: Decimal

    def __post_init__(self) -> None:
        if not self.parts.is_finite() or self.parts <= 0:
            raise QuantityError(f'"{self}" is no dilution', 'write as in "1:200"')

    def __str__(self) -> str:
        return f"1:{self.parts:f}"


def ratio(text: str) -> Ratio:
    """The dilution that a text such as "1:200" states.

    Raises:
        QuantityError: the text is no such dilution.
    """
    match = _RATIO.fullmatch(text.strip())
    if match is None:
        raise QuantityError(f'"{text.strip()}" is no dilution', 'write as in "1:200"')
    return Ratio(Decimal(match["parts"]))


def water_volume(length: Quantity, width: Quantity, depth: Quantity) -> Quantity:
    """Water in a basin with upright walls, in litres.

    Args:
        length: inner length of the basin.
        width: inner width of the basin.
        depth: depth of the water at the fill line, not of the basin.

    Raises:
        QuantityError: a measure is no length or not above zero.
    """
    cubic_mm = (
        positive(length, Dimension.LENGTH)
        * positive(width, Dimension.LENGTH)
        * positive(depth, Dimension.LENGTH)
    )
    return Quantity.exactly(cubic_mm / 1_000_000, Unit.LITRE)


def detergent_volume(water: Quantity, dose: Quantity) -> Quantity:
    """Detergent for so much water, in mL for a dose in mL/L and in fl oz for one in fl oz/gal.

    Args:
        water: volume of the water before the detergent is added.
        dose: detergent per volume of water.

    Raises:
        QuantityError: not a volume and a dose, or not above zero.
    """
    millilitres = positive(water, Dimension.VOLUME) / 1000 * positive(dose, Dimension.CONCENTRATION)
    return Quantity.exactly(millilitres, Unit.MILLILITRE).to(_MEASURED_IN[dose.unit])


def share_of_mixture(dose: Quantity) -> Quantity:
    """Detergent as per cent by volume of the finished mixture.

    "5 mL per litre of water" is 5 in 1005, not 5 in 1000.

    Raises:
        QuantityError: no dose, or not above zero.
    """
    per_litre = positive(dose, Dimension.CONCENTRATION)
    return Quantity.exactly(100 * per_litre / (1000 + per_litre), Unit.PERCENT)


def dose_for_share(share: Quantity) -> Quantity:
    """The dose, in mL per litre of water, that gives a per cent by volume of the mixture.

    Raises:
        QuantityError: no per cent, or not between 0 and 100.
    """
    per_cent = positive(share, Dimension.SHARE)
    whole = 100
    if per_cent >= whole:
        raise QuantityError(f'"{share}" leaves no water', "give less than 100 %")
    return Quantity.exactly(1000 * per_cent / (whole - per_cent), Unit.MILLILITRE_PER_LITRE)


def basin_water(length: Quantity, width: Quantity, depth: Quantity) -> Worked[Quantity]:
    """Water in a basin with upright walls, in litres or, for a basin in inches, in gallons.

    Args:
        length: inner length of the basin.
        width: inner width of the basin.
        depth: depth of the water at the fill line, not of the basin.

    Raises:
        QuantityError: a measure is no length or not above zero.
    """
    unit = Unit.GALLON if depth.unit is Unit.INCH else Unit.LITRE
    water = water_volume(length, width, depth).to(unit)
    return Worked(
        water, (f"{length} {TIMES} {width} {TIMES} {depth} deep {gives(water)} of water",)
    )


def taught_water(container: Quantity, count: Decimal) -> Worked[Quantity]:
    """Water at a fill line that was taught by pouring a known container into the basin.

    Args:
        container: what one filling of it holds.
        count: fillings until the line was reached; parts of one count.

    Raises:
        QuantityError: no volume, or not above zero.
    """
    positive(container, Dimension.VOLUME)
    if not count.is_finite() or count <= 0:
        raise QuantityError(f"{count} fillings reach no line", "count the fillings poured")
    water = Quantity.exactly(Fraction(container.value) * Fraction(count), container.unit)
    return Worked(water, (f"{count:f} fillings of {container} {gives(water)} at the fill line",))


def dose_of(stated: Quantity | Ratio) -> Worked[Quantity]:
    """A dose as detergent per volume of water, however the label states it.

    Args:
        stated: mL/L, fl oz/gal, per cent by volume of the mixture, or 1:n.

    Returns:
        A dose in mL/L or fl oz/gal as stated, else in mL/L.

    Raises:
        QuantityError: no dose, not above zero, or 100 % and more.
    """
    if isinstance(stated, Ratio):
        dose = Quantity.exactly(1000 / Fraction(stated.parts), Unit.MILLILITRE_PER_LITRE)
        return Worked(
            dose,
            (
                f"{stated} is read as 1 part of detergent to {stated.parts:f} parts of water",
                f"it is not 1 part in {stated.parts:f} parts of mixture",
                f"1000 mL ÷ {stated.parts:f} {gives(dose)} of water",
            ),
        )
    if stated.unit.dimension is Dimension.SHARE:
        dose = dose_for_share(stated)
        value = f"{stated.value:f}"
        line = f"1000 {TIMES} {value} ÷ (100 - {value}) {gives(dose)} of water"
        return Worked(dose, (f"{stated} by volume of the finished mixture", line))
    positive(stated, Dimension.CONCENTRATION)
    return Worked(stated, (f"{stated} of water, as stated",))


def usual_unit(stated: Quantity | Ratio) -> Unit:
    """The unit that a dose is measured out in where nobody states one."""
    unit = None if isinstance(stated, Ratio) else _MEASURED_IN.get(stated.unit)
    return unit or Unit.MILLILITRE


def detergent(water: Quantity, stated: Quantity | Ratio, measured_in: Unit) -> Worked[Quantity]:
    """Detergent for so much water, in the unit that the technician measures with.

    Args:
        water: volume of the water before the detergent is added.
        stated: the dose, in any of the forms of ``dose_of``.
        measured_in: unit of the measuring cup, syringe or pump.

    Raises:
        QuantityError: not a volume, a dose and a unit of volume, or not above zero.
    """
    dose = dose_of(stated)
    exact = detergent_volume(water, dose.value)
    amount = exact.to(measured_in)
    of = water.to(_WATER_IN[dose.value.unit])
    lines = [f"{shown(dose.value)} {TIMES} {shown(of)} {gives(exact)} of detergent"]
    if of.unit is not water.unit:
        lines.insert(0, f"{shown(water)} {gives(of)}")
    if amount.unit is not exact.unit:
        lines.append(f"{shown(exact)} {gives(amount)}")
    return Worked(amount, (*dose.steps, *lines))
