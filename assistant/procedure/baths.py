"""The baths of a sheet: one block read into one bath."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from assistant.procedure.layout import BASIN
from assistant.procedure.model import Bath
from assistant.procedure.quantity import Dimension, Place, Quantity, QuantityError, Unit, Window
from assistant.trade.bath import dose_for_share, water_volume

if TYPE_CHECKING:
    from assistant.procedure.fields import Fields

# Beyond these a figure is a slip of the hand, not a sink.
MOST_VOLUME = Quantity(Decimal(1000), Unit.LITRE)
MOST_DOSE = Quantity(Decimal(500), Unit.MILLILITRE_PER_LITRE)
LIQUID_WATER = Window(Quantity(Decimal(0), Unit.CELSIUS), Quantity(Decimal(100), Unit.CELSIUS))


def read_bath(fields: Fields) -> Bath | None:
    """The bath that the block states; None where something is wrong, and noted."""
    identifier = fields.identifier("id")
    name, detergent = fields.text("name"), fields.text("detergent")
    volume, dose, temperature = _volume(fields), _dose(fields), _temperature(fields)
    if volume is None or dose is None or temperature is None:
        return None
    return Bath(identifier, name, detergent, volume, dose, temperature)


def _volume(fields: Fields) -> Quantity | None:
    """The water at the fill line, given or reckoned from the basin."""
    if ("volume" in fields) is ("basin" in fields):
        fields.refuse(
            "volume",
            'a bath has either "volume" or "basin"',
            'write "volume: 20 L", or the basin with its length, width and water_depth',
        )
        return None
    if "volume" in fields:
        return _bounded(fields, "volume", fields.quantity("volume", Dimension.VOLUME), MOST_VOLUME)
    basin = fields.block("basin", BASIN)
    if basin is None:
        return None
    sides = [basin.quantity(side, Dimension.LENGTH) for side in BASIN.required]
    length, width, depth = sides
    if length is None or width is None or depth is None:
        return None
    try:
        volume = water_volume(length, width, depth)
    except QuantityError as error:
        fields.refuse("basin", error.what, error.remedy)
        return None
    return _bounded(fields, "basin", volume, MOST_VOLUME)


def _dose(fields: Fields) -> Quantity | None:
    """Detergent per volume of water; a per cent is refused with what it may mean."""
    dose = fields.quantity("dose", None)
    if dose is None:
        return None
    if dose.unit is Unit.PERCENT:
        try:
            mixture = dose_for_share(dose).rounded()
        except QuantityError as error:
            fields.refuse("dose", error.what, error.remedy)
            return None
        water = Quantity.exactly(dose.base * 10, Unit.MILLILITRE_PER_LITRE)
        fields.refuse(
            "dose",
            f'"{dose}" may mean of the mixture or of the water',
            f'write "{mixture}" for of the mixture, "{water}" for of the water',
        )
        return None
    try:
        dose.to(MOST_DOSE.unit)
    except QuantityError as error:
        fields.refuse("dose", error.what, 'write as in "5 mL/L" or "1 fl oz/gal"')
        return None
    return _bounded(fields, "dose", dose, MOST_DOSE)


def _temperature(fields: Fields) -> Window | None:
    """The detergent's window, inside that of liquid water."""
    window = fields.window("temperature", Dimension.TEMPERATURE)
    for end in (window.least, window.most) if window else ():
        if end is not None and LIQUID_WATER.judge(end).place is not Place.WITHIN:
            fields.refuse(
                "temperature", f'a bath of "{end}" is no liquid water', f"give {LIQUID_WATER}"
            )
            return None
    return window


def _bounded(
    fields: Fields, key: str, quantity: Quantity | None, most: Quantity
) -> Quantity | None:
    """The quantity where it is above zero and not above the most."""
    if quantity is None or 0 < quantity.base <= most.base:
        return quantity
    fields.refuse(key, f'"{quantity}" is not between 0 and {most}', "correct the figure")
    return None
