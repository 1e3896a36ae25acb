"""Lumens and brushes: what fits, how many passes, how many syringe fills.

A brush cleans a lumen only where its bristles touch the wall all round, and only as
far as they come (common practice, no source).  Brush and lumen sizes come from the
device's procedure; catheter sizes in French convert at 3 Fr to the millimetre.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from assistant.procedure.quantity import Dimension, Quantity, QuantityError, Unit
from assistant.trade.measure import positive
from assistant.trade.worked import TIMES, Worked, gives, shown

# A convergent of the continued fraction of pi, wrong by less than 1 part in 10^9.
_PI = Fraction(103_993, 33_102)


@dataclass(frozen=True, slots=True)
class Lumen:
    """A channel of a device.

    Attributes:
        diameter: inner.
        length: from one opening to the other.
    """

    diameter: Quantity
    length: Quantity

    def __post_init__(self) -> None:
        positive(self.diameter, Dimension.LENGTH)
        positive(self.length, Dimension.LENGTH)


@dataclass(frozen=True, slots=True)
class Brush:
    """A channel brush.

    Attributes:
        diameter: over the bristles.
        reach: from the grip to the near end of the bristles, so that all of them
            can come out at the far opening.
    """

    diameter: Quantity
    reach: Quantity

    def __post_init__(self) -> None:
        positive(self.diameter, Dimension.LENGTH)
        positive(self.reach, Dimension.LENGTH)


class Misfit(StrEnum):
    """Why a brush is the wrong one for a lumen."""

    TOO_THIN = "bristles do not touch the wall"
    TOO_THICK = "bristles are thicker than the procedure allows"
    TOO_SHORT = "bristles do not come out at the far opening"


def misfits(
    brush: Brush, lumen: Lumen, thickest: Quantity | None = None
) -> Worked[tuple[Misfit, ...]]:
    """Why the brush is wrong for the lumen; empty where it fits.

    Args:
        brush: the brush at hand.
        lumen: the channel to be brushed.
        thickest: most diameter over the bristles that the procedure allows; None
            where it states none.

    Raises:
        QuantityError: no length, or not above zero.
    """
    found = []
    lines = [
        f"brush {_mm(brush.diameter)} against lumen {_mm(lumen.diameter)}",
        f"reach {_mm(brush.reach)} against channel {_mm(lumen.length)}",
    ]
    if brush.diameter.base < lumen.diameter.base:
        found.append(Misfit.TOO_THIN)
    if thickest is not None:
        lines.insert(1, f"brush at most {_mm(thickest)}")
        if brush.diameter.base > positive(thickest, Dimension.LENGTH):
            found.append(Misfit.TOO_THICK)
    if brush.reach.base < lumen.length.base:
        found.append(Misfit.TOO_SHORT)
    return Worked(tuple(found), (*lines, *(misfit.value for misfit in found)))


def passes_left(done: int, least: int, *, last_came_out_clean: bool) -> Worked[int]:
    """Brush passes that are still to be made: to the least number, and on until clean.

    Args:
        done: passes made, each through the whole lumen and back.
        least: fewest passes that the procedure asks for.
        last_came_out_clean: no soil was seen on the brush after the last pass.

    Raises:
        QuantityError: fewer than 0 done, or a least number below 1.
    """
    if done < 0 or least < 1:
        raise QuantityError(f"{done} of {least} passes", "count from 0, and ask for 1 or more")
    clean = done > 0 and last_came_out_clean
    left = max(least - done, 0 if clean else 1)
    state = "came out clean" if clean else "not clean yet"
    return Worked(left, (f"{done} of at least {least} passes, {state}: {left} to go",))


def channel_volume(lumen: Lumen) -> Worked[Quantity]:
    """What a channel holds, in millilitres: a cylinder.

    Raises:
        QuantityError: never for a lumen that exists.
    """
    cubic_mm = _PI / 4 * lumen.diameter.base**2 * lumen.length.base
    volume = Quantity.exactly(cubic_mm / 1000, Unit.MILLILITRE)
    wide, long = (shown(side.to(Unit.MILLIMETRE)) for side in (lumen.diameter, lumen.length))
    return Worked(
        volume,
        (
            f"channel {_mm(lumen.diameter)} wide, {_mm(lumen.length)} long",
            f"π ÷ 4 {TIMES} {wide} {TIMES} {wide} {TIMES} {long} ≈ {shown(volume)}",
        ),
    )


def syringe_fills(flush: Quantity, syringe: Quantity) -> Worked[int]:
    """Fills of a syringe for a flush volume; the last one may be a part of it.

    Args:
        flush: least volume to be flushed through.
        syringe: what one fill holds.

    Raises:
        QuantityError: no volume, or not above zero.
    """
    ratio = positive(flush, Dimension.VOLUME) / positive(syringe, Dimension.VOLUME)
    fills = -(-ratio.numerator // ratio.denominator)
    rest = Quantity.exactly((ratio - (fills - 1)) * Fraction(syringe.value), syringe.unit)
    last = "" if rest.value == syringe.value else f", the last one at least {shown(rest)}"
    return Worked(
        fills, (f"{flush} ÷ {syringe} a fill: {fills} {'fill' if fills == 1 else 'fills'}{last}",)
    )


def _mm(length: Quantity) -> str:
    """A length with its millimetres beside it."""
    if length.unit is Unit.MILLIMETRE:
        return str(length)
    return f"{length} {gives(length.to(Unit.MILLIMETRE))}"
