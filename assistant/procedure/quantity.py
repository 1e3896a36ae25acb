"""Quantities: exact decimal values with their units, windows, durations.

Comparisons are made between fractions, so no rounding can move a value across
the end of a window.
"""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Context, Decimal
from enum import Enum
from fractions import Fraction

from assistant.procedure.spelling import strange
from assistant.procedure.unit import MEASURES, SPELLINGS, Dimension, Unit, listing

__all__ = [
    "Dimension",
    "Place",
    "Quantity",
    "QuantityError",
    "Unit",
    "Verdict",
    "Window",
    "duration",
    "duration_text",
    "parse",
]

# Digits kept where a conversion does not end (IEEE 754 decimal128).
_CONTEXT = Context(prec=34, rounding=ROUND_HALF_UP)
# More digits than any text that is read here can have.  A conversion that does not
# end leaves a trace on the way back (1 Fr is 0.333... mm, which is 0.999... Fr), so
# what comes as near as the trace to a value of so few digits is that value.  Both are
# counted from the zero of the dimension, which for °F is 32.
_WRITTEN = Context(prec=22, rounding=ROUND_HALF_UP)
_TRACE = Fraction(1, 10**33)


class QuantityError(Exception):
    """A text or a pair of values is no usable quantity.

    Attributes:
        what: what is wrong, naming the text.
        remedy: what to write instead.
    """

    def __init__(self, what: str, remedy: str) -> None:
        super().__init__(f"{what}; {remedy}")
        self.what = what
        self.remedy = remedy


_NUMBER = r"[0-9]{1,12}(?:\.[0-9]{1,9})?"
_QUANTITY = re.compile(rf"(?P<value>[-\u2212]?{_NUMBER}) ?(?P<unit>[^\s0-9][^0-9]*)")
_BARE = re.compile(rf"[-\u2212]?{_NUMBER}")
_CLOCK = re.compile(r"(?P<first>[0-9]{1,9}):(?P<second>[0-9]{1,9})(?::(?P<third>[0-9]{1,9}))?")
_RANGE = re.compile(rf"{_NUMBER}[^-\u2013]*[-\u2013] ?{_NUMBER}[^-\u2013]*")
_COMMA = re.compile(r"[-\u2212]?[0-9]+,[0-9]+.*")
_ISO = re.compile(rf"PT(?:(?P<h>{_NUMBER})H)?(?:(?P<min>{_NUMBER})M)?(?:(?P<s>{_NUMBER})S)?")
_PIECES = re.compile(rf"{_NUMBER} ?[a-zA-Z]+(?: {_NUMBER} ?[a-zA-Z]+)*")
_PIECE = re.compile(rf"{_NUMBER} ?[a-zA-Z]+")


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value with its unit.

    Attributes:
        value: finite; kept as written ("43.0" stays "43.0").
        unit: of the value.
    """

    value: Decimal
    unit: Unit

    def __post_init__(self) -> None:
        if not self.value.is_finite():
            raise QuantityError(f"{self.value} is no value", "give a finite number")

    def __str__(self) -> str:
        return f"{self.value:f} {self.unit}"

    @classmethod
    def exactly(cls, value: Fraction, unit: Unit) -> Quantity:
        """The fraction as a quantity: exact where its decimals end within 22 digits."""
        measure = MEASURES[unit]
        zero = -measure.offset / measure.factor
        short = Fraction(_divided(value - zero, _WRITTEN))
        if abs(value - zero - short) <= _TRACE * abs(value - zero):
            value = zero + short
        return cls(_plain(_divided(value, _CONTEXT)), unit)

    @property
    def base(self) -> Fraction:
        """The exact value in the unit whose factor in ``MEASURES`` is 1 (s, °C, mL, mm ...)."""
        measure = MEASURES[self.unit]
        return Fraction(self.value) * measure.factor + measure.offset

    def to(self, unit: Unit) -> Quantity:
        """The same quantity in another unit, exact where its decimals end within 22 digits.

        There and back gives the same value.

        Raises:
            QuantityError: the units measure different things.
        """
        if unit is self.unit:
            return self
        if unit.dimension is not self.unit.dimension:
            raise QuantityError(
                f'"{self}" is a {self.unit.dimension}, not a {unit.dimension}',
                f"give it in {listing(self.unit.dimension)}",
            )
        measure = MEASURES[unit]
        return Quantity.exactly((self.base - measure.offset) / measure.factor, unit)

    def rounded(self, digits: int = 3) -> Quantity:
        """The same to so many significant digits, half up: as much as can be measured out."""
        context = Context(prec=digits, rounding=ROUND_HALF_UP)
        return Quantity(_plain(context.plus(self.value)), self.unit)


class Place(Enum):
    """Where a value lies against a window."""

    WITHIN = "within"
    BELOW = "below"
    ABOVE = "above"


@dataclass(frozen=True, slots=True)
class Verdict:
    """A value judged against a window.

    Attributes:
        place: within, below or above.
        distance: how far outside, in the window's unit, 0 when within.  It is a
            difference: a temperature difference must not be converted with ``to``.
    """

    place: Place
    distance: Quantity


@dataclass(frozen=True, slots=True)
class Window:
    """The values that may be accepted, both ends included.

    Attributes:
        least: the lowest; None where there is no lower end.
        most: the highest, in the unit of ``least``; None where there is no upper end.

    Raises:
        QuantityError: no end at all, two units, or the ends in the wrong order.
    """

    least: Quantity | None
    most: Quantity | None

    def __post_init__(self) -> None:
        if self.least is None and self.most is None:
            raise QuantityError("the window has no end", "give least, most or both")
        if self.least is None or self.most is None:
            return
        if self.least.unit is not self.most.unit:
            raise QuantityError(
                f'least "{self.least}" and most "{self.most}" have different units',
                f"write both in {self.least.unit}",
            )
        if self.least.value > self.most.value:
            raise QuantityError(
                f'least "{self.least}" is more than most "{self.most}"',
                "exchange the two, or correct the wrong one",
            )

    def __str__(self) -> str:
        if self.least is None:
            return f"at most {self.most}"
        if self.most is None:
            return f"at least {self.least}"
        return f"{self.least.value:f}\u2013{self.most}"

    @property
    def unit(self) -> Unit:
        """The unit of both ends."""
        end = self.least or self.most
        assert end is not None  # noqa: S101 - __post_init__ saw to it
        return end.unit

    def judge(self, quantity: Quantity) -> Verdict:
        """Where the quantity lies, compared without rounding.

        Raises:
            QuantityError: it measures something else than the window does.
        """
        quantity.to(self.unit)  # refuses another dimension
        for end, place in ((self.least, Place.BELOW), (self.most, Place.ABOVE)):
            if end is None:
                continue
            excess = quantity.base - end.base
            if (excess < 0) if place is Place.BELOW else (excess > 0):
                factor = MEASURES[self.unit].factor
                return Verdict(place, Quantity.exactly(abs(excess) / factor, self.unit))
        return Verdict(Place.WITHIN, Quantity(Decimal(0), self.unit))


def parse(text: str, dimension: Dimension | None = None) -> Quantity:
    """The quantity that a text states, such as "43 °C" or "1 fl oz/gal".

    Args:
        text: a number with a decimal point, then its unit; outer spaces do not count.
        dimension: what must be measured; None for anything.

    Raises:
        QuantityError: no number, no unit, an unknown unit, or another dimension.
    """
    text = text.strip()
    match = _QUANTITY.fullmatch(text)
    if match is None:
        raise _refusal(text, dimension)
    unit = _unit(match["unit"].strip(), text, dimension)
    if dimension is not None and unit.dimension is not dimension:
        raise QuantityError(
            f'"{text}" is a {unit.dimension}, not a {dimension}',
            f"give it in {listing(dimension)}",
        )
    return Quantity(Decimal(match["value"].replace("\u2212", "-")), unit)


def duration(text: str) -> int:
    """Whole seconds of "10 min", "1 h 30 min" or the ISO 8601 form "PT10M".

    Raises:
        QuantityError: a bare number, a clock form ("1:30"), another unit, a
            fraction of a second.
    """
    text = text.strip()
    iso = _ISO.fullmatch(text)
    if iso is not None and any(iso.groupdict().values()):
        pieces = [f"{value} {unit}" for unit, value in iso.groupdict().items() if value]
    elif _PIECES.fullmatch(text):
        pieces = _PIECE.findall(text)
    else:
        pieces = [text]
    quantities = [parse(piece, Dimension.TIME) for piece in pieces]
    factors = [MEASURES[quantity.unit].factor for quantity in quantities]
    if factors != sorted(set(factors), reverse=True):
        raise QuantityError(f'"{text}" mixes its units', 'write as in "1 h 30 min"')
    seconds = sum((quantity.base for quantity in quantities), Fraction(0))
    if seconds.denominator != 1:
        raise QuantityError(f'"{text}" is no whole number of seconds', "round it to whole seconds")
    return int(seconds)


def duration_text(seconds: int) -> str:
    """Whole seconds in the units that people say: "10 min", "1 h 30 min", "90 s".

    Up to two minutes that do not come out even stay in seconds.
    """
    whole_minute = 60
    if seconds < 2 * whole_minute and seconds % whole_minute:
        return f"{seconds} s"
    hours, rest = divmod(seconds, 3600)
    minutes, rest = divmod(rest, whole_minute)
    pieces = [(hours, "h"), (minutes, "min"), (rest, "s")]
    return " ".join(f"{value} {unit}" for value, unit in pieces if value) or "0 s"


def _refusal(text: str, dimension: Dimension | None) -> QuantityError:
    """Why the text is no quantity."""
    clock = _CLOCK.fullmatch(text)
    if clock is not None and dimension in (None, Dimension.TIME):
        first, second = int(clock["first"]), int(clock["second"])
        if clock["third"]:
            plain = f"{first} h {second} min {int(clock['third'])} s"
            return QuantityError(f'"{text}" is a clock form', f'write "{plain}"')
        return QuantityError(
            f'"{text}" may be {first} h {second} min or {first} min {second} s',
            f'write "{first} h {second} min" or "{first} min {second} s"',
        )
    if _BARE.fullmatch(text):
        example, other = _examples(dimension)
        if example == other:
            return QuantityError(f'"{text}" has no unit', f'write "{text} {example}"')
        return QuantityError(
            f'"{text}" has no unit: it may be {text} {example} or {text} {other}',
            f'write "{text} {example}" or "{text} {other}"',
        )
    if _RANGE.fullmatch(text):
        return QuantityError(
            f'"{text}" is a range', 'write its two ends apart, as "least" and "most"'
        )
    if _COMMA.fullmatch(text):
        return QuantityError(f'"{text}" has a comma', "write a decimal point")
    example, _ = _examples(dimension)
    return QuantityError(
        f'"{text}" is no number with a unit', f'write a number, then the unit, as in "10 {example}"'
    )


def _examples(dimension: Dimension | None) -> tuple[str, str]:
    """Two units between which a bare number leaves the reader guessing."""
    if dimension is None:
        return Unit.CELSIUS, Unit.MILLILITRE
    if dimension is Dimension.TIME:
        return Unit.MINUTE, Unit.SECOND
    units = [unit for unit in Unit if unit.dimension is dimension]
    return units[0], units[-1]


def _unit(written: str, text: str, dimension: Dimension | None) -> Unit:
    """The unit that is written so, whatever the size of its letters."""
    unit = SPELLINGS.get(written.lower())
    if unit is None:
        wanted = [key for key, unit in SPELLINGS.items() if dimension in (None, unit.dimension)]
        near = difflib.get_close_matches(written.lower(), wanted, n=1)
        meant = f'did you mean "{SPELLINGS[near[0]]}"? ' if near else ""
        raise QuantityError(
            f'"{written}" in "{text}" is no known unit{strange(written)}',
            f"{meant}known are {listing(dimension)}",
        )
    return unit


def _divided(value: Fraction, context: Context) -> Decimal:
    """The fraction as a decimal of as many digits as the context has."""
    return context.divide(Decimal(value.numerator), Decimal(value.denominator))


def _plain(value: Decimal) -> Decimal:
    """The same value without an exponent and without zeros at the end of its decimals."""
    value = value.normalize(_CONTEXT)
    exponent = value.as_tuple().exponent
    assert isinstance(exponent, int)  # noqa: S101 - the value is finite
    return value.quantize(Decimal(1), context=_CONTEXT) if exponent > 0 else value
