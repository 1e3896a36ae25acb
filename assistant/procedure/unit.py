"""Units: what they measure, how they are written, how they convert.

Factors are exact by definition and follow NIST Handbook 44, Appendix C: inch
2.54 cm, US gallon 231 cubic inches, US fluid ounce 1/128 gallon, pound-force per
square inch from the pound 0.45359237 kg and the standard acceleration of free
fall 9.80665 m/s².  The millimetre of mercury is the conventional one, 13 595.1
kg/m³ times 9.80665 m/s² times 1 mm (from memory).  The French is a third of a
millimetre by definition (from memory).  A relative light unit belongs to the meter
that showed it: two such values from different meters cannot be compared.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction


class Dimension(StrEnum):
    """What a unit measures; the value is its name in messages."""

    TIME = "time"
    TEMPERATURE = "temperature"
    VOLUME = "volume"
    CONCENTRATION = "dose"
    SHARE = "share"
    LENGTH = "length"
    PRESSURE = "pressure"
    COUNT = "count"
    FLOW = "flow"
    MASS = "mass"
    SURFACE = "surface"
    SUBSTANCE = "substance amount"
    SOIL = "mass per surface"
    SUBSTANCE_SOIL = "substance amount per surface"
    LIGHT = "light reading"
    MASS_CONCENTRATION = "mass concentration"
    CONDUCTIVITY = "conductivity"
    PH = "pH value"
    COLONIES = "colony count"
    ENDOTOXIN = "bacterial endotoxin level"


class Unit(StrEnum):
    """A unit; the value is its symbol."""

    SECOND = "s"
    MINUTE = "min"
    HOUR = "h"
    DAY = "d"
    CELSIUS = "°C"
    FAHRENHEIT = "°F"
    MILLILITRE = "mL"
    LITRE = "L"
    FLUID_OUNCE = "fl oz"
    GALLON = "gal"
    MILLILITRE_PER_LITRE = "mL/L"
    FLUID_OUNCE_PER_GALLON = "fl oz/gal"
    PERCENT = "%"
    MILLIMETRE = "mm"
    CENTIMETRE = "cm"
    INCH = "in"
    FRENCH = "Fr"
    PSI = "psi"
    KILOPASCAL = "kPa"
    MILLIMETRE_OF_MERCURY = "mmHg"
    COUNT = "count"
    LITRE_PER_MINUTE = "L/min"
    GALLON_PER_MINUTE = "gal/min"
    MICROGRAM = "µg"
    MILLIGRAM = "mg"
    SQUARE_CENTIMETRE = "cm²"
    SQUARE_MILLIMETRE = "mm²"
    FEMTOMOLE = "fmol"
    MICROGRAM_PER_SQUARE_CENTIMETRE = "µg/cm²"
    FEMTOMOLE_PER_SQUARE_CENTIMETRE = "fmol/cm²"
    RELATIVE_LIGHT_UNIT = "RLU"
    MILLIGRAM_PER_LITRE = "mg/L"
    MICROSIEMENS_PER_CENTIMETRE = "µS/cm"
    PH = "pH"
    COLONIES_PER_MILLILITRE = "CFU/mL"
    ENDOTOXIN_UNITS_PER_MILLILITRE = "EU/mL"

    @property
    def dimension(self) -> Dimension:
        """What the unit measures."""
        return MEASURES[self].dimension


@dataclass(frozen=True, slots=True)
class Measure:
    """How a unit stands to the base unit of its dimension: base = value * factor + offset."""

    dimension: Dimension
    factor: Fraction
    offset: Fraction = Fraction(0)


_INCH_MM = Fraction("25.4")
_GALLON_ML = 231 * (_INCH_MM / 10) ** 3
_FLUID_OUNCE_ML = _GALLON_ML / 128
_FREE_FALL = Fraction("9.80665")  # m/s²

MEASURES = {
    Unit.SECOND: Measure(Dimension.TIME, Fraction(1)),
    Unit.MINUTE: Measure(Dimension.TIME, Fraction(60)),
    Unit.HOUR: Measure(Dimension.TIME, Fraction(3600)),
    Unit.DAY: Measure(Dimension.TIME, Fraction(86400)),
    Unit.CELSIUS: Measure(Dimension.TEMPERATURE, Fraction(1)),
    Unit.FAHRENHEIT: Measure(Dimension.TEMPERATURE, Fraction(5, 9), Fraction(-160, 9)),
    Unit.MILLILITRE: Measure(Dimension.VOLUME, Fraction(1)),
    Unit.LITRE: Measure(Dimension.VOLUME, Fraction(1000)),
    Unit.FLUID_OUNCE: Measure(Dimension.VOLUME, _FLUID_OUNCE_ML),
    Unit.GALLON: Measure(Dimension.VOLUME, _GALLON_ML),
    Unit.MILLILITRE_PER_LITRE: Measure(Dimension.CONCENTRATION, Fraction(1)),
    Unit.FLUID_OUNCE_PER_GALLON: Measure(Dimension.CONCENTRATION, Fraction(1000, 128)),
    Unit.PERCENT: Measure(Dimension.SHARE, Fraction(1)),
    Unit.MILLIMETRE: Measure(Dimension.LENGTH, Fraction(1)),
    Unit.CENTIMETRE: Measure(Dimension.LENGTH, Fraction(10)),
    Unit.INCH: Measure(Dimension.LENGTH, _INCH_MM),
    Unit.FRENCH: Measure(Dimension.LENGTH, Fraction(1, 3)),
    Unit.KILOPASCAL: Measure(Dimension.PRESSURE, Fraction(1)),
    Unit.PSI: Measure(
        Dimension.PRESSURE,
        Fraction("0.45359237") * _FREE_FALL / (_INCH_MM / 1000) ** 2 / 1000,
    ),
    Unit.MILLIMETRE_OF_MERCURY: Measure(
        Dimension.PRESSURE, Fraction("13595.1") * _FREE_FALL / 1000 / 1000
    ),
    Unit.COUNT: Measure(Dimension.COUNT, Fraction(1)),
    Unit.LITRE_PER_MINUTE: Measure(Dimension.FLOW, Fraction(1)),
    Unit.GALLON_PER_MINUTE: Measure(Dimension.FLOW, _GALLON_ML / 1000),
    Unit.MICROGRAM: Measure(Dimension.MASS, Fraction(1)),
    Unit.MILLIGRAM: Measure(Dimension.MASS, Fraction(1000)),
    Unit.SQUARE_CENTIMETRE: Measure(Dimension.SURFACE, Fraction(1)),
    Unit.SQUARE_MILLIMETRE: Measure(Dimension.SURFACE, Fraction(1, 100)),
    Unit.FEMTOMOLE: Measure(Dimension.SUBSTANCE, Fraction(1)),
    Unit.MICROGRAM_PER_SQUARE_CENTIMETRE: Measure(Dimension.SOIL, Fraction(1)),
    Unit.FEMTOMOLE_PER_SQUARE_CENTIMETRE: Measure(Dimension.SUBSTANCE_SOIL, Fraction(1)),
    Unit.RELATIVE_LIGHT_UNIT: Measure(Dimension.LIGHT, Fraction(1)),
    Unit.MILLIGRAM_PER_LITRE: Measure(Dimension.MASS_CONCENTRATION, Fraction(1)),
    Unit.MICROSIEMENS_PER_CENTIMETRE: Measure(Dimension.CONDUCTIVITY, Fraction(1)),
    Unit.PH: Measure(Dimension.PH, Fraction(1)),
    Unit.COLONIES_PER_MILLILITRE: Measure(Dimension.COLONIES, Fraction(1)),
    Unit.ENDOTOXIN_UNITS_PER_MILLILITRE: Measure(Dimension.ENDOTOXIN, Fraction(1)),
}

# Other ways in which the units are written, in small letters.  The micro sign is
# also typed as the Greek letter mu, which is what it becomes in capitals and back.
SPELLINGS = {
    spelling: unit for unit in Unit for spelling in (unit.lower(), unit.upper().lower())
} | {
    "sec": Unit.SECOND,
    "second": Unit.SECOND,
    "seconds": Unit.SECOND,
    "minute": Unit.MINUTE,
    "minutes": Unit.MINUTE,
    "hr": Unit.HOUR,
    "hour": Unit.HOUR,
    "hours": Unit.HOUR,
    "day": Unit.DAY,
    "days": Unit.DAY,
    "ug": Unit.MICROGRAM,
    "ug/cm²": Unit.MICROGRAM_PER_SQUARE_CENTIMETRE,
    "us/cm": Unit.MICROSIEMENS_PER_CENTIMETRE,
    "french": Unit.FRENCH,
    "c": Unit.CELSIUS,
    "f": Unit.FAHRENHEIT,
    "litre": Unit.LITRE,
    "litres": Unit.LITRE,
    "liter": Unit.LITRE,
    "liters": Unit.LITRE,
}


def listing(dimension: Dimension | None) -> str:
    """The symbols of the units that measure it; of all for None."""
    return ", ".join(unit for unit in Unit if dimension in (None, unit.dimension))
