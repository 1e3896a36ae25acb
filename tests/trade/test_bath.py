"""Water and detergent against figures made from NIST Handbook 44, Appendix C."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.procedure.quantity import Quantity, QuantityError, Unit, parse
from assistant.trade.bath import detergent_volume, dose_for_share, share_of_mixture, water_volume

if TYPE_CHECKING:
    from decimal import Decimal

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


@given(water=amounts, dose=amounts, times=st.integers(min_value=1, max_value=50))
def test_a_dose_grows_as_the_water_and_as_the_concentration(
    water: Decimal, dose: Decimal, times: int
) -> None:
    litres = Quantity(water, Unit.LITRE)
    strength = Quantity(dose, Unit.MILLILITRE_PER_LITRE)
    once = detergent_volume(litres, strength).base
    assert detergent_volume(Quantity(water * times, Unit.LITRE), strength).base == once * times
    more = Quantity(dose * times, Unit.MILLILITRE_PER_LITRE)
    assert detergent_volume(litres, more).base == once * times


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
