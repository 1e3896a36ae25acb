"""Values of a given kind, refused where they measure something else."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.procedure.quantity import Quantity, QuantityError

if TYPE_CHECKING:
    from fractions import Fraction

    from assistant.procedure.quantity import Dimension


def measure(quantity: Quantity, dimension: Dimension) -> Fraction:
    """The exact value in the dimension's base unit.

    Raises:
        QuantityError: it measures something else.
    """
    if quantity.unit.dimension is not dimension:
        raise QuantityError(f'"{quantity}" is no {dimension}', f"give a {dimension}")
    return quantity.base


def not_negative(quantity: Quantity, dimension: Dimension) -> Fraction:
    """The exact value in the dimension's base unit, 0 or more.

    Raises:
        QuantityError: it measures something else, or is below zero.
    """
    base = measure(quantity, dimension)
    if quantity.value < 0:
        raise QuantityError(f'"{quantity}" is below zero', f"give a {dimension} of 0 or more")
    return base


def positive(quantity: Quantity, dimension: Dimension) -> Fraction:
    """The exact value in the dimension's base unit, above zero.

    Raises:
        QuantityError: it measures something else, or is not above zero.
    """
    base = measure(quantity, dimension)
    if base <= 0:
        raise QuantityError(f'"{quantity}" is not above zero', f"give a {dimension} above zero")
    return base


def seconds(value: int, of: str) -> int:
    """Whole seconds, 0 or more.

    Args:
        value: the time.
        of: what lasted so long, for the message.

    Raises:
        QuantityError: it is below zero.
    """
    if value < 0:
        raise QuantityError(f"{of} of {value} s is below zero", "give the time from start to end")
    return value
