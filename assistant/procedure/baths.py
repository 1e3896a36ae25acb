"""The baths of a sheet: one block read into one bath."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING

from assistant.procedure import quantity
from assistant.procedure.layout import BASIN, COOLING, FILL_LINE, WINDOW
from assistant.procedure.model import Bath
from assistant.procedure.placeholder import bath_dose
from assistant.procedure.quantity import Dimension, Place, Quantity, QuantityError, Unit, Window
from assistant.procedure.unit import listing
from assistant.trade.bath import basin_water, dose_for_share, dose_of, ratio, taught_water
from assistant.trade.cooling import Cooling
from assistant.trade.worked import Worked

if TYPE_CHECKING:
    from assistant.procedure.fields import Fields
    from assistant.trade.bath import Ratio

# Beyond these a figure is a slip of the hand, not a sink.
MOST_VOLUME = Quantity(Decimal(1000), Unit.LITRE)
MOST_RATE = Decimal(1)  # 1/min
MOST_USES = 999
OF_MIXTURE = " of the mixture"
MOST_DOSE = Quantity(Decimal(500), Unit.MILLILITRE_PER_LITRE)
LIQUID_WATER = Window(Quantity(Decimal(0), Unit.CELSIUS), Quantity(Decimal(100), Unit.CELSIUS))


def read_bath(fields: Fields) -> Bath | None:
    """The bath that the block states; None where something is wrong, and noted."""
    identifier = fields.identifier("id")
    name, detergent = fields.text("name"), fields.text("detergent")
    volume, dose, temperature = _volume(fields), _dose(fields), _temperature(fields)
    unit, cooling = measured_in(fields), _cooling(fields)
    most_age_s = fields.seconds("most_age")
    most_uses = fields.whole("most_uses", 1, MOST_USES, 0) or None
    if volume is None or dose is None or temperature is None:
        return None
    bath = Bath(
        id=identifier,
        name=name,
        detergent=detergent,
        volume=volume.value,
        dose=dose,
        temperature=temperature,
        measured_in=unit,
        most_age_s=most_age_s,
        most_uses=most_uses,
        cooling=cooling,
    )
    return replace(bath, working=(*volume.steps, *bath_dose(bath).steps))


def _volume(fields: Fields) -> Worked[Quantity] | None:
    """The water at the fill line: given, reckoned from the basin, or taught."""
    given = [key for key in ("volume", "basin", "fill_line") if key in fields]
    if len(given) != 1:
        fields.refuse(
            given[1] if given else "volume",
            'a bath has exactly one of "volume", "basin" and "fill_line"',
            'write "volume: 20 L", the basin with its length, width and water_depth, or '
            "the fill_line with the container and the count that reached it",
        )
        return None
    key = given[0]
    volume = _VOLUMES[key](fields)
    if volume is None or bounded(fields, key, volume.value, MOST_VOLUME) is None:
        return None
    return volume


def _stated(fields: Fields) -> Worked[Quantity] | None:
    volume = fields.quantity("volume", Dimension.VOLUME)
    return None if volume is None else Worked(volume, (f"{volume} of water, as stated",))


def reckoned(fields: Fields) -> Worked[Quantity] | None:
    """The water in the block's "basin"; None where something is wrong, and noted."""
    basin = fields.block("basin", BASIN)
    if basin is None:
        return None
    length, width, depth = (basin.amount(side, Dimension.LENGTH) for side in BASIN.required)
    if length is None or width is None or depth is None:
        return None
    return basin_water(length, width, depth)


def _taught(fields: Fields) -> Worked[Quantity] | None:
    line = fields.block("fill_line", FILL_LINE)
    if line is None:
        return None
    container, count = line.amount("container", Dimension.VOLUME), line.decimal("count")
    return None if container is None or count is None else taught_water(container, count)


_VOLUMES = {"volume": _stated, "basin": reckoned, "fill_line": _taught}


def measured_in(fields: Fields) -> Unit | None:
    """The unit of the measuring cup, syringe or pump; None stands in."""
    text = fields.text("measured_in")
    if not text:
        return None
    try:
        return quantity.parse(f"1 {text}", Dimension.VOLUME).unit
    except QuantityError:
        known = listing(Dimension.VOLUME)
        fields.refuse("measured_in", f'"{text}" is no unit of volume', f"write one of {known}")
        return None


def _cooling(fields: Fields) -> Cooling | None:
    """How the bath cools; None where nobody stated it."""
    block = fields.block("cooling", COOLING)
    if block is None:
        return None
    room, rate = block.quantity("room", Dimension.TEMPERATURE), block.decimal("per_min")
    if room is None or rate is None:
        return None
    if LIQUID_WATER.judge(room).place is not Place.WITHIN:
        block.refuse("room", f'a room of "{room}" is no place of work', "correct the figure")
        return None
    if rate > MOST_RATE:
        block.refuse(
            "per_min",
            f"at {rate} per min a bath is as cold as the room within minutes",
            f"give a rate of at most {MOST_RATE}",
        )
        return None
    return Cooling(room, rate)


def _dose(fields: Fields) -> Quantity | Ratio | None:
    """The dose in one of the forms that labels have; a bare per cent may mean two things."""
    text = fields.text("dose")
    if not text:
        return None
    share = text.removesuffix(OF_MIXTURE)
    try:
        if ":" in text:
            return _ratio(fields, text)
        if share != text:
            return _share(fields, quantity.parse(share, Dimension.SHARE), of_mixture=True)
        if text.endswith("%"):
            return _share(fields, quantity.parse(text, Dimension.SHARE), of_mixture=False)
        dose = quantity.parse(text, Dimension.CONCENTRATION)
    except QuantityError as error:
        forms = '"5 mL/L", "1 fl oz/gal", "0.5 % of the mixture" or "1:200"'
        fields.refuse("dose", error.what, f"write as in {forms}")
        return None
    return bounded(fields, "dose", dose, MOST_DOSE)


def _ratio(fields: Fields, text: str) -> Ratio | None:
    stated = ratio(text)
    return None if bounded(fields, "dose", dose_of(stated).value, MOST_DOSE) is None else stated


def _share(fields: Fields, share: Quantity, *, of_mixture: bool) -> Quantity | None:
    """A per cent of the mixture; one that may be of the water is refused with both meanings."""
    mixture = dose_for_share(share)
    if of_mixture:
        return None if bounded(fields, "dose", mixture, MOST_DOSE) is None else share
    water = Quantity.exactly(share.base * 10, Unit.MILLILITRE_PER_LITRE)
    fields.refuse(
        "dose",
        f'"{share}" may mean of the mixture or of the water',
        f'write "{share}{OF_MIXTURE}" ({mixture.rounded()}), or "{water}" for of the water',
    )
    return None


def _temperature(fields: Fields) -> Window | None:
    """The detergent's window, inside that of liquid water."""
    block = fields.block("temperature", WINDOW)
    window = None if block is None else block.ends(Dimension.TEMPERATURE)
    if block is None or window is None:
        return None
    for key, end in (("least", window.least), ("most", window.most)):
        if end is not None and LIQUID_WATER.judge(end).place is not Place.WITHIN:
            block.refuse(key, f'a bath of "{end}" is no liquid water', f"give {LIQUID_WATER}")
            return None
    return window


def bounded(fields: Fields, key: str, found: Quantity | None, most: Quantity) -> Quantity | None:
    """The quantity where it is above zero and not above the most."""
    if found is None or 0 < found.base <= most.base:
        return found
    fields.refuse(key, f'"{found.rounded()}" is not between 0 and {most}', "correct the figure")
    return None
