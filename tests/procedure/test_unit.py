"""Units of the trade: exact conversions, the ways they are typed, the words they are said in."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from assistant.procedure.quantity import Dimension, Quantity, QuantityError, parse
from assistant.procedure.unit import MEASURES, Unit
from assistant.speaking.wording import spoken

values = st.decimals(min_value=-1000, max_value=1000, places=3)
SIBLINGS = [
    (one, other)
    for one in Unit
    for other in Unit
    if one is not other and one.dimension is other.dimension
]
ENDING = [
    (Unit.MILLIMETRE, Unit.FRENCH),
    (Unit.INCH, Unit.FRENCH),
    (Unit.MILLIGRAM, Unit.MICROGRAM),
    (Unit.SQUARE_MILLIMETRE, Unit.SQUARE_CENTIMETRE),
    (Unit.GALLON_PER_MINUTE, Unit.LITRE_PER_MINUTE),
    (Unit.DAY, Unit.SECOND),
]


@pytest.mark.parametrize(
    ("given", "unit", "wanted"),
    [
        # 3 Fr to the millimetre, exact by definition (from memory).
        ("12 Fr", Unit.MILLIMETRE, "4"),
        ("3 Fr", Unit.MILLIMETRE, "1"),
        ("2.5 mm", Unit.FRENCH, "7.5"),
        ("1 in", Unit.FRENCH, "76.2"),
        # NIST Handbook 44, Appendix C: gallon 3.785 411 784 L.
        ("1 gal/min", Unit.LITRE_PER_MINUTE, "3.785411784"),
        # Decimal multiples of the International System.
        ("0.32 mg", Unit.MICROGRAM, "320"),
        ("50 cm²", Unit.SQUARE_MILLIMETRE, "5000"),
        ("14 d", Unit.HOUR, "336"),
    ],
)
def test_conversions_of_the_trade_are_exact(given: str, unit: Unit, wanted: str) -> None:
    assert parse(given).to(unit) == Quantity(Decimal(wanted), unit)


# As many digits as a sheet or a command may have, on either side of the point.
written = st.builds(
    lambda digits, places: Decimal(digits).scaleb(-places),
    st.integers(-(10**21), 10**21),
    st.integers(0, 9),
)


@pytest.mark.parametrize("pair", SIBLINGS, ids=" to ".join)
@given(value=written)
@example(value=Decimal(0))
@example(value=Decimal(32))
@example(value=Decimal("1e-9"))
@example(value=Decimal("999999999999.999999999"))
def test_a_round_trip_between_any_two_units_is_exact(
    pair: tuple[Unit, Unit], value: Decimal
) -> None:
    here, there = pair
    assert Quantity(value, here).to(there).to(here).value == value


@pytest.mark.parametrize("pair", SIBLINGS, ids=" to ".join)
@given(value=values)
def test_a_conversion_is_right_to_33_digits_counted_from_the_zero_of_its_dimension(
    pair: tuple[Unit, Unit], value: Decimal
) -> None:
    here, there = pair
    exact, measure = Quantity(value, here).base, MEASURES[there]
    miss = abs(Quantity(value, here).to(there).base - exact)
    assert miss <= abs(exact) / 10**33 + abs(measure.offset) / 10**33


@pytest.mark.parametrize("pair", ENDING, ids=" to ".join)
@given(value=values)
def test_a_conversion_whose_decimals_end_is_exact(pair: tuple[Unit, Unit], value: Decimal) -> None:
    here, there = pair
    assert Quantity(value, here).to(there).base == Quantity(value, here).base


def test_every_dimension_has_one_unit_that_others_are_measured_by() -> None:
    for dimension in Dimension:
        bases = [
            unit for unit in Unit if unit.dimension is dimension and MEASURES[unit].factor == 1
        ]
        assert bases or dimension is Dimension.CONCENTRATION, dimension
    assert MEASURES[Unit.MILLILITRE_PER_LITRE].factor == 1


@pytest.mark.parametrize("text", ["3 µg/cm²", "3 \u03bcg/cm²", "3 ug/cm²", "3µG/CM²"])
def test_micrograms_are_read_with_either_mu_and_with_a_u(text: str) -> None:
    assert parse(text).unit is Unit.MICROGRAM_PER_SQUARE_CENTIMETRE


def test_a_bare_number_where_only_one_unit_is_possible_is_told_that_unit() -> None:
    with pytest.raises(QuantityError, match=r'"7.2" has no unit; write "7.2 pH"'):
        parse("7.2", Dimension.PH)


def test_light_of_a_meter_is_no_amount_of_soil() -> None:
    with pytest.raises(QuantityError, match="light reading"):
        parse("180 RLU").to(Unit.FEMTOMOLE_PER_SQUARE_CENTIMETRE)


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("6.4 µg/cm²", "six point four micrograms per square centimeter"),
        ("22 fmol/cm²", "twenty two femtomoles per square centimeter"),
        ("180 RLU", "one hundred eighty relative light units"),
        ("500 µS/cm", "five hundred microsiemens per centimeter"),
        ("150 mg/L", "one hundred fifty milligrams per liter"),
        ("10 CFU/mL", "ten colony forming units per milliliter"),
        ("10 EU/mL", "ten endotoxin units per milliliter"),
        ("12 Fr", "twelve French"),
        ("7.2 pH", "seven point two P H"),
        ("0.4 gal/min", "zero point four gallons per minute"),
        ("14 d", "fourteen days"),
        ("20 mm²", "twenty square millimeters"),
    ],
)
def test_units_of_the_trade_are_said_in_words(text: str, wanted: str) -> None:
    assert spoken(text, "en") == wanted
