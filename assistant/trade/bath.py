"""A bath's arithmetic: how much water stands in a basin, how much detergent goes into it.

Exact throughout: volumes and doses are products of the given values, and only
``Quantity.rounded`` rounds, where a figure is spoken.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.procedure.quantity import Dimension, Quantity, QuantityError, Unit

if TYPE_CHECKING:
    from fractions import Fraction

# The unit in which each kind of dose is measured out.
_MEASURED_IN = {
    Unit.MILLILITRE_PER_LITRE: Unit.MILLILITRE,
    Unit.FLUID_OUNCE_PER_GALLON: Unit.FLUID_OUNCE,
}


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
        _positive(length, Dimension.LENGTH)
        * _positive(width, Dimension.LENGTH)
        * _positive(depth, Dimension.LENGTH)
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
    millilitres = (
        _positive(water, Dimension.VOLUME) / 1000 * _positive(dose, Dimension.CONCENTRATION)
    )
    return Quantity.exactly(millilitres, Unit.MILLILITRE).to(_MEASURED_IN[dose.unit])


def share_of_mixture(dose: Quantity) -> Quantity:
    """Detergent as per cent by volume of the finished mixture.

    "5 mL per litre of water" is 5 in 1005, not 5 in 1000.

    Raises:
        QuantityError: no dose, or not above zero.
    """
    per_litre = _positive(dose, Dimension.CONCENTRATION)
    return Quantity.exactly(100 * per_litre / (1000 + per_litre), Unit.PERCENT)


def dose_for_share(share: Quantity) -> Quantity:
    """The dose, in mL per litre of water, that gives a per cent by volume of the mixture.

    Raises:
        QuantityError: no per cent, or not between 0 and 100.
    """
    per_cent = _positive(share, Dimension.SHARE)
    whole = 100
    if per_cent >= whole:
        raise QuantityError(f'"{share}" leaves no water', "give less than 100 %")
    return Quantity.exactly(1000 * per_cent / (whole - per_cent), Unit.MILLILITRE_PER_LITRE)


def _positive(quantity: Quantity, dimension: Dimension) -> Fraction:
    """The value in the dimension's base unit."""
    if quantity.unit.dimension is not dimension:
        raise QuantityError(f'"{quantity}" is no {dimension}', f"give a {dimension}")
    if quantity.base <= 0:
        raise QuantityError(f'"{quantity}" is not above zero', f"give a {dimension} above zero")
    return quantity.base
