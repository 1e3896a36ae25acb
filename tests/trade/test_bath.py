"""Water and detergent against figures made from NIST Handbook 44, Appendix C."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.procedure.quantity import Quantity, QuantityError, Unit, parse
from assistant.trade.bath import (
    Ratio,
    basin_water,
    detergent,
    detergent_volume,
    dose_for_share,
    dose_of,
    ratio,
    share_of_mixture,
    taught_water,
    water_volume,
)

amounts = st.decimals(min_value="0.001", max_value=1000, places=3)


# Calculated from inch 2.54 cm and gallon 231 cubic inches (NIST Handbook 44, Appendix C).
def test_a_sink_in_inches_gives_gallons_litres_and_its_dose() -> None:
    water = water_volume(parse("24 in"), parse("20 in"), parse("8 in"))
    assert water.rounded(6) == parse("62.9263 L")
    assert water.to(Unit.GALLON).rounded(6) == parse("16.6234 gal")
    dose = detergent_volume(water, parse("1 fl oz/gal"))
    assert dose.unit is Unit.FLUID_OUNCE
    assert dose.rounded(6) == parse("16.6234 fl oz")
    assert dose.to(Unit.MILLILITRE).rounded(6) == parse("491.612 mL")


# Calculated from the same table: 1 fl oz/gal is 7.8125 mL/L exactly.
def test_a_sink_in_centimetres_gives_litres_and_its_dose() -> None:
    water = water_volume(parse("60 cm"), parse("50 cm"), parse("25 cm"))
    assert water == parse("75 L")
    dose = detergent_volume(water, parse("1 fl oz/gal")).to(Unit.MILLILITRE)
    assert dose.rounded(9) == parse("585.9375 mL")
    assert detergent_volume(water, parse("5 mL/L")) == parse("375 mL")


# Calculated: 5 in 1005, and 0.5 in 99.5.
def test_a_share_of_the_mixture_is_not_a_dose_of_the_water() -> None:
    assert share_of_mixture(parse("5 mL/L")).rounded(4) == parse("0.4975 %")
    assert dose_for_share(parse("0.5 %")).rounded(4) == parse("5.025 mL/L")


VOLUMES = (Unit.MILLILITRE, Unit.LITRE, Unit.FLUID_OUNCE, Unit.GALLON)
# Quantities are kept to 34 digits; a dose is worked out in at most four of them.
TINY = Fraction(1, 10**31)


def same(one: Quantity, base: Fraction) -> bool:
    return abs(one.base - base) <= TINY * abs(base)


@given(
    water=amounts,
    more=amounts,
    stated=st.one_of(
        amounts.map(lambda value: Quantity(value, Unit.MILLILITRE_PER_LITRE)),
        amounts.map(lambda value: Quantity(value, Unit.FLUID_OUNCE_PER_GALLON)),
        st.decimals(min_value="0.001", max_value="99.9", places=3).map(
            lambda value: Quantity(value, Unit.PERCENT)
        ),
        amounts.map(Ratio),
    ),
    volumes=st.tuples(st.sampled_from(VOLUMES), st.sampled_from(VOLUMES)),
    times=st.integers(min_value=1, max_value=50),
)
def test_detergent_grows_as_the_water_however_the_dose_is_stated(
    water: Decimal,
    more: Decimal,
    stated: Quantity | Ratio,
    volumes: tuple[Unit, Unit],
    times: int,
) -> None:
    filled, measured_in = volumes
    once, other, both, often = (
        detergent(Quantity(value, filled), stated, measured_in).value
        for value in (water, more, water + more, water * times)
    )
    assert {amount.unit for amount in (once, other, both, often)} == {measured_in}
    assert same(both, once.base + other.base)
    assert same(often, once.base * times)


@given(
    water=amounts,
    dose=amounts,
    more=amounts,
    unit=st.sampled_from([Unit.MILLILITRE_PER_LITRE, Unit.FLUID_OUNCE_PER_GALLON]),
    times=st.integers(min_value=1, max_value=50),
)
def test_detergent_grows_as_a_dose_per_volume_of_water(
    water: Decimal, dose: Decimal, more: Decimal, unit: Unit, times: int
) -> None:
    litres = Quantity(water, Unit.LITRE)
    once, other, both, often = (
        detergent_volume(litres, Quantity(value, unit))
        for value in (dose, more, dose + more, dose * times)
    )
    assert same(both, once.base + other.base)
    assert same(often, once.base * times)


# Calculated: in 1 part to n of water there are 1000/n mL to the litre, 128/n fl oz to the
# gallon (128 fl oz, NIST Handbook 44, Appendix C), and 1 part in n + 1 of the mixture.
@given(parts=st.decimals(min_value="0.1", max_value=5000, places=1), water=amounts)
def test_the_four_ways_to_state_a_dose_agree_on_one_mixture(parts: Decimal, water: Decimal) -> None:
    n, litres = Fraction(parts), Quantity(water, Unit.LITRE)
    wanted = litres.base / n
    for stated in (
        Ratio(parts),
        Quantity.exactly(1000 / n, Unit.MILLILITRE_PER_LITRE),
        Quantity.exactly(128 / n, Unit.FLUID_OUNCE_PER_GALLON),
        Quantity.exactly(100 / (n + 1), Unit.PERCENT),
    ):
        amount = detergent(litres, stated, Unit.MILLILITRE).value.base
        # A share near 100 leaves little water, which magnifies its last digit.
        assert abs(amount - wanted) <= wanted * TINY * (1 + 1 / n)


@given(share=st.decimals(min_value="0.01", max_value="99.99", places=2), water=amounts)
def test_a_share_is_the_detergents_part_of_all_that_is_in_the_bath(
    share: Decimal, water: Decimal
) -> None:
    litres = Quantity(water, Unit.LITRE)
    amount = detergent(litres, Quantity(share, Unit.PERCENT), Unit.MILLILITRE).value.base
    assert abs(amount / (amount + litres.base) - Fraction(share) / 100) <= TINY


@given(share=st.decimals(min_value="0.001", max_value="49.9", places=3))
def test_twice_the_share_takes_more_than_twice_the_dose(share: Decimal) -> None:
    once = dose_for_share(Quantity(share, Unit.PERCENT)).base
    assert dose_for_share(Quantity(2 * share, Unit.PERCENT)).base > 2 * once


@given(sides=st.tuples(amounts, amounts, amounts), times=st.integers(1, 20))
def test_the_water_in_a_basin_grows_with_each_of_its_three_sides(
    sides: tuple[Decimal, Decimal, Decimal], times: int
) -> None:
    length, width, depth = (Quantity(side, Unit.CENTIMETRE) for side in sides)
    once = water_volume(length, width, depth).base
    assert once == length.base * width.base * depth.base / 1000
    for place in range(3):
        grown = [length, width, depth]
        grown[place] = Quantity(sides[place] * times, Unit.CENTIMETRE)
        assert water_volume(*grown).base == once * times


@given(dose=amounts)
def test_share_and_dose_are_each_others_inverse(dose: Decimal) -> None:
    strength = Quantity(dose, Unit.MILLILITRE_PER_LITRE)
    there_and_back = dose_for_share(share_of_mixture(strength)).base
    assert abs(there_and_back - strength.base) < strength.base / 10**25


@pytest.mark.parametrize(
    "sides", [("0 cm", "1 cm", "1 cm"), ("1 cm", "-1 cm", "1 cm"), ("1 cm", "1 cm", "1 L")]
)
def test_a_basin_needs_three_lengths_above_zero(sides: tuple[str, str, str]) -> None:
    with pytest.raises(QuantityError):
        water_volume(*map(parse, sides))


@pytest.mark.parametrize(
    ("water", "dose"), [("10 L", "10 mL"), ("10 cm", "5 mL/L"), ("0 L", "5 mL/L")]
)
def test_a_dose_needs_a_volume_and_a_concentration(water: str, dose: str) -> None:
    with pytest.raises(QuantityError):
        detergent_volume(parse(water), parse(dose))


def test_a_bath_of_nothing_but_detergent_is_refused() -> None:
    with pytest.raises(QuantityError, match="no water"):
        dose_for_share(parse("100 %"))


# Calculated from NIST Handbook 44, Appendix C: 24 in x 20 in x 8 in is 16.6234 gal.
def test_a_sink_and_its_dose_show_how_they_were_got() -> None:
    water = basin_water(parse("24 in"), parse("20 in"), parse("8 in"))
    assert water.steps == ("24 in \u00d7 20 in \u00d7 8 in deep ≈ 16.6234 gal of water",)
    dose = detergent(water.value, parse("1 fl oz/gal"), Unit.MILLILITRE)
    assert dose.value.rounded(6) == parse("491.612 mL")
    assert dose.steps == (
        "1 fl oz/gal of water, as stated",
        "1 fl oz/gal \u00d7 16.6234 gal ≈ 16.6234 fl oz of detergent",
        "16.6234 fl oz ≈ 491.612 mL",
    )


# Calculated from the same table: 75.0 L at 7.8125 mL/L is 585.94 mL.
def test_a_sink_in_centimetres_shows_litres() -> None:
    water = basin_water(parse("60 cm"), parse("50 cm"), parse("25 cm"))
    assert water.value == parse("75 L")
    dose = detergent(water.value, parse("1 fl oz/gal"), Unit.MILLILITRE)
    assert dose.value.rounded(5) == parse("585.94 mL")
    assert dose.steps[1] == "75 L ≈ 19.8129 gal"


def test_a_fill_line_is_taught_by_pouring_a_known_container() -> None:
    taught = taught_water(parse("2 L"), Decimal("9.5"))
    assert taught.value == parse("19 L")
    assert taught.steps == ("9.5 fillings of 2 L = 19 L at the fill line",)


@pytest.mark.parametrize(
    ("container", "count"), [("2 cm", "1"), ("0 L", "1"), ("2 L", "0"), ("2 L", "NaN")]
)
def test_a_fill_line_needs_a_volume_and_a_count(container: str, count: str) -> None:
    with pytest.raises(QuantityError):
        taught_water(parse(container), Decimal(count))


# Calculated: one part to n parts of water is 1000/n mL/L; in n parts of mixture it would
# be 1000/(n-1).
def test_one_to_n_is_one_part_of_detergent_to_n_parts_of_water() -> None:
    dose = dose_of(ratio("1:200"))
    assert dose.value == parse("5 mL/L")
    assert dose.steps[0] == "1:200 is read as 1 part of detergent to 200 parts of water"
    assert dose.steps[1] == "it is not 1 part in 200 parts of mixture"
    assert dose_of(ratio("1:199")).value.rounded(4) == parse("5.025 mL/L")
    assert detergent(parse("20 L"), ratio("1:200"), Unit.MILLILITRE).value == parse("100 mL")


# Calculated: 0.5 in 99.5 is 5.025 mL per litre of water; so is 1 part to 199 of water.
def test_a_share_of_the_mixture_is_dosed_as_such() -> None:
    dose = dose_of(parse("0.5 %"))
    assert dose.value.rounded(4) == parse("5.025 mL/L")
    assert dose.steps == (
        "0.5 % by volume of the finished mixture",
        "1000 \u00d7 0.5 ÷ (100 - 0.5) ≈ 5.02513 mL/L of water",
    )
    amount = detergent(parse("10 L"), parse("0.5 %"), Unit.FLUID_OUNCE)
    assert amount.value.to(Unit.MILLILITRE).rounded(5) == parse("50.251 mL")


@pytest.mark.parametrize("text", ["1:0", "200", "2:100", "1:", "1:-5", "1:NaN"])
def test_what_is_no_dilution_is_refused_with_an_example(text: str) -> None:
    with pytest.raises(QuantityError, match='"1:200"'):
        ratio(text)


def test_a_dilution_needs_a_finite_number_of_parts() -> None:
    with pytest.raises(QuantityError, match="no dilution"):
        Ratio(Decimal("Infinity"))


def test_detergent_is_measured_in_a_unit_of_volume() -> None:
    with pytest.raises(QuantityError, match="volume"):
        detergent(parse("10 L"), parse("5 mL/L"), Unit.CELSIUS)
    with pytest.raises(QuantityError, match="no dose"):
        dose_of(parse("5 mL"))


def test_a_line_below_one_filling_can_be_taught() -> None:
    assert taught_water(parse("20 L"), Decimal("0.5")).value == parse("10 L")
