"""Warming or cooling a bath with tap water: how much brings it into its window.

Volume and heat are conserved; density and specific heat of water are taken as
constant, which between 10 and 60 °C moves the mixed temperature by less than 0.2 °C.
Heat lost to the basin is left out, so the bath is measured again afterwards.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from assistant.procedure.quantity import Dimension, Place, Quantity, QuantityError, Unit, Window
from assistant.procedure.unit import MEASURES
from assistant.trade.measure import measure, positive
from assistant.trade.worked import TIMES, Worked, shown


@dataclass(frozen=True, slots=True)
class Portion:
    """Water at one temperature.

    Attributes:
        volume: above zero.
        temperature: the same throughout.
    """

    volume: Quantity
    temperature: Quantity

    def __post_init__(self) -> None:
        positive(self.volume, Dimension.VOLUME)
        measure(self.temperature, Dimension.TEMPERATURE)


class Way(StrEnum):
    """How the water gets in."""

    ADD = "add"
    REPLACE = "replace"


@dataclass(frozen=True, slots=True)
class Mix:
    """Water that brings a bath into its window.

    Attributes:
        way: added to the bath, or put in for as much taken out.
        water: how much reaches ``after``; 0 where the bath is within already.
        least: how much just reaches the nearer end of the window.
        most: how much just reaches the farther end; None where no amount can.
        after: the bath's temperature afterwards.

    Volumes are in the unit of the bath's volume, the temperature in the window's.
    The new water needs its dose of detergent: ``bath.detergent(mix.water, ...)``.
    """

    way: Way
    water: Quantity
    least: Quantity
    most: Quantity | None
    after: Quantity


def mixed(first: Portion, second: Portion) -> Portion:
    """Two portions poured together, in the units of the first."""
    volume = first.volume.base + second.volume.base
    heat = first.volume.base * first.temperature.base + second.volume.base * second.temperature.base
    return Portion(_in(volume, first.volume.unit), _in(heat / volume, first.temperature.unit))


def to_window(
    bath: Portion,
    tap: Quantity,
    window: Window,
    way: Way,
    *,
    room: Quantity | None = None,
    aim: Quantity | None = None,
) -> Worked[Mix]:
    """Water of a stated temperature that brings a bath into its window.

    Args:
        bath: as it is now.
        tap: temperature of the new water.
        window: the detergent's temperatures.
        way: added to the bath, or put in for as much taken out.
        room: how much more the basin may take, where water is added; None where
            it does not matter.
        aim: temperature to reach; None for the middle of what can be reached within
            the window, or for its end where it has only one.

    Raises:
        QuantityError: that water cannot bring the bath there, or there is no room.
    """
    measure(tap, Dimension.TEMPERATURE)
    if window.judge(bath.temperature).place is Place.WITHIN:
        return _nothing(bath, window, way)
    near, far = _ends(bath.temperature, tap, window)
    goal = _goal(near, far, tap, aim, window)
    least = _water(way, bath, tap, near)
    water = _water(way, bath, tap, goal)
    lines = [f"aim {shown(_in(goal, window.unit))}, window {window}", _formula(way)]
    if way is Way.ADD and room is not None:
        water = _fitting(water, least, room, bath.volume.unit)
        if water == room.base:
            lines.append(f"only {room} fits")
    most = None if far == tap.base else _water(way, bath, tap, far)
    mix = Mix(
        way,
        _in(water, bath.volume.unit),
        _in(least, bath.volume.unit),
        None if most is None else _in(most, bath.volume.unit),
        _in(_after(way, bath, tap, water), window.unit),
    )
    upper = "" if mix.most is None else f", at most {shown(mix.most)}"
    lines += [
        f"{shown(bath.volume)} at {bath.temperature}: {way} {shown(mix.water)} of {tap}",
        f"the bath is then at {shown(mix.after)}",
        f"at least {shown(mix.least)}{upper}",
        "the new water needs its dose of detergent, or the bath gets weaker",
    ]
    return Worked(mix, tuple(lines))


def _nothing(bath: Portion, window: Window, way: Way) -> Worked[Mix]:
    """The answer for a bath that is within its window."""
    none = _in(Fraction(0), bath.volume.unit)
    at = bath.temperature.to(window.unit)
    line = f"{bath.temperature} is within {window}: no water is needed"
    return Worked(Mix(way, none, none, None, at), (line,))


def _ends(at: Quantity, tap: Quantity, window: Window) -> tuple[Fraction, Fraction]:
    """The nearer end of the window and the farthest that this water gets within it, in °C."""
    cold = window.judge(at).place is Place.BELOW
    near, far = (window.least, window.most) if cold else (window.most, window.least)
    assert near is not None  # noqa: S101 - the bath lies beyond that end
    if (tap.base <= near.base) if cold else (tap.base >= near.base):
        raise QuantityError(
            f"water of {tap} cannot bring a bath of {at} to {near}",
            f"use {'hotter' if cold else 'colder'} water or draw a new bath",
        )
    if far is None:
        return near.base, tap.base
    return near.base, min(far.base, tap.base) if cold else max(far.base, tap.base)


def _goal(
    near: Fraction, far: Fraction, tap: Quantity, aim: Quantity | None, window: Window
) -> Fraction:
    """The temperature to reach, in °C."""
    if aim is None:
        one_ended = window.least is None or window.most is None
        return near if one_ended else (near + far) / 2
    goal = measure(aim, Dimension.TEMPERATURE)
    if not min(near, far) <= goal <= max(near, far) or goal == tap.base:
        raise QuantityError(
            f"{aim} cannot be reached within {window} with water of {tap}",
            "aim inside the window, on this side of the water's temperature",
        )
    return goal


def _water(way: Way, bath: Portion, tap: Quantity, goal: Fraction) -> Fraction:
    """Millilitres that bring the bath to the goal; the goal lies between bath and tap."""
    change = goal - bath.temperature.base
    reach = tap.base - (goal if way is Way.ADD else bath.temperature.base)
    return bath.volume.base * change / reach


def _after(way: Way, bath: Portion, tap: Quantity, water: Fraction) -> Fraction:
    """The bath's temperature in °C once so many millilitres are in."""
    kept = bath.volume.base - (water if way is Way.REPLACE else 0)
    return (kept * bath.temperature.base + water * tap.base) / (kept + water)


def _fitting(water: Fraction, least: Fraction, room: Quantity, unit: Unit) -> Fraction:
    """As much of the water as there is room for, in millilitres."""
    free = positive(room, Dimension.VOLUME)
    if least > free:
        raise QuantityError(
            f"there is room for {room}, and {shown(_in(least, unit))} would have to be added",
            "replace a part of the bath instead",
        )
    return min(water, free)


def _formula(way: Way) -> str:
    """The rule, in words."""
    if way is Way.ADD:
        return f"water = bath {TIMES} (aim - bath temperature) ÷ (water temperature - aim)"
    return f"water = bath {TIMES} (aim - bath temperature) ÷ (water temperature - bath temperature)"


def _in(base: Fraction, unit: Unit) -> Quantity:
    """A value in the base unit, as a quantity in another unit."""
    scale = MEASURES[unit]
    return Quantity.exactly((base - scale.offset) / scale.factor, unit)
