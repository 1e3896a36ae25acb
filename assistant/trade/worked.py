"""A result together with how it was got, so that a person can follow it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Generic, TypeVar

if TYPE_CHECKING:
    from assistant.procedure.quantity import Quantity

T_co = TypeVar("T_co", covariant=True)

# The sign of multiplication, which the linter takes for a letter where it is written out.
TIMES = "\u00d7"
# Digits of a figure in a line of working: finer than anything read at a sink.
_DIGITS = 6


@dataclass(frozen=True, slots=True)
class Worked(Generic[T_co]):
    """A result with the lines that lead to it.

    Attributes:
        value: the result, not rounded.
        steps: one line for each step of the working, in order, for ``--explain``
            and the record; figures in it are rounded to six digits.
    """

    value: T_co
    steps: tuple[str, ...]


def shown(quantity: Quantity) -> str:
    """The quantity as it stands in a line of working: "62.9263 L"."""
    rounded = quantity.rounded(_DIGITS)
    return str(quantity if rounded.value == quantity.value else rounded)


def gives(quantity: Quantity) -> str:
    """The end of a line of working: "= 75 L", or "≈ 62.9263 L" where it was rounded."""
    exact = quantity.rounded(_DIGITS).value == quantity.value
    return f"{'=' if exact else '≈'} {shown(quantity)}"
