"""Mixing of water against the laws that volume and heat are conserved."""

from __future__ import annotations

import functools
from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from assistant.procedure.quantity import Place, Quantity, QuantityError, Unit, Window, parse
from assistant.trade.mixing import Mix, Portion, Way, mixed, to_window

if TYPE_CHECKING:
    from random import Random

WINDOW = Window(parse("38 °C"), parse("43 °C"))
temperatures = st.decimals(min_value=5, max_value=65, places=1)
volumes = st.decimals(min_value="0.1", max_value=200, places=1)
# Quantities are kept to 34 digits.
TINY = Fraction(1, 10**25)


def portion(litres: Decimal, celsius: Decimal) -> Portion:
    return Portion(Quantity(litres, Unit.LITRE), Quantity(celsius, Unit.CELSIUS))


def heat(of: Portion) -> Fraction:
    return of.volume.base * of.temperature.base


portions = st.builds(
    lambda litres, celsius, volume, scale: Portion(
        Quantity(litres, Unit.LITRE).to(volume), Quantity(celsius, Unit.CELSIUS).to(scale)
    ),
    volumes,
    temperatures,
    st.sampled_from([Unit.MILLILITRE, Unit.LITRE, Unit.GALLON, Unit.FLUID_OUNCE]),
    st.sampled_from([Unit.CELSIUS, Unit.FAHRENHEIT]),
)


@given(poured=st.lists(portions, min_size=2, max_size=5), turn=st.randoms(use_true_random=False))
def test_mixing_conserves_volume_and_heat_in_any_units_and_any_order(
    poured: list[Portion], turn: Random
) -> None:
    litres = sum(part.volume.base for part in poured) / 1000
    warmth = sum(heat(part) for part in poured)
    turn.shuffle(poured)
    whole = functools.reduce(mixed, poured)
    assert (whole.volume.unit, whole.temperature.unit) == (
        poured[0].volume.unit,
        poured[0].temperature.unit,
    )
    assert abs(whole.volume.base / 1000 - litres) <= litres * TINY
    assert abs(heat(whole) - warmth) <= warmth * TINY
    degrees = [part.temperature.base for part in poured]
    assert min(degrees) - TINY <= whole.temperature.base <= max(degrees) + TINY


# Densities of water 998.2 kg/m³ at 20 °C and 983.2 kg/m³ at 60 °C (CRC Handbook of
# Chemistry and Physics, from memory): by mass the mixture is at 39.85 °C, not at 40 °C.
def test_equal_volumes_agree_with_a_balance_by_mass_within_two_tenths_of_a_degree() -> None:
    by_volume = mixed(portion(Decimal(10), Decimal(20)), portion(Decimal(10), Decimal(60)))
    assert by_volume.temperature == parse("40 °C")
    by_mass = (998.2 * 20 + 983.2 * 60) / (998.2 + 983.2)
    assert abs(by_mass - 40) < 0.2


# Calculated by hand: 20 L x (40.5 - 35) / (60 - 40.5) = 5.6410 L.
def test_hot_water_added_brings_a_cold_bath_to_the_middle_of_its_window() -> None:
    answer = to_window(portion(Decimal(20), Decimal(35)), parse("60 °C"), WINDOW, Way.ADD)
    mix = answer.value
    assert mix.water.rounded(5) == parse("5.641 L")
    assert mix.least.rounded(5) == parse("2.7273 L")
    assert mix.most is not None
    assert mix.most.rounded(5) == parse("9.4118 L")
    assert mix.after == parse("40.5 °C")
    assert answer.steps == (
        "aim 40.5 °C, window 38\N{EN DASH}43 °C",
        "water = bath \N{MULTIPLICATION SIGN} (aim - bath temperature) ÷ (water temperature - aim)",
        "20 L at 35 °C: add 5.64103 L of 60 °C",
        "the bath is then at 40.5 °C",
        "at least 2.72727 L, at most 9.41176 L",
        "the new water needs its dose of detergent, or the bath gets weaker",
    )


# Calculated by hand: 20 L x (40.5 - 35) / (60 - 35) = 4.4 L.
def test_a_part_of_a_full_bath_is_replaced() -> None:
    bath = portion(Decimal(20), Decimal(35))
    mix = to_window(bath, parse("60 °C"), WINDOW, Way.REPLACE).value
    assert mix.water == parse("4.4 L")
    assert mix.least == parse("2.4 L")
    assert mix.most == parse("6.4 L")
    assert mix.after == parse("40.5 °C")


# 90 to 120 °F is one detergent's window (common practice, no source).
def test_cold_water_brings_a_hot_bath_down_in_gallons_and_fahrenheit() -> None:
    bath = Portion(parse("10 gal"), parse("130 °F"))
    window = Window(parse("90 °F"), parse("120 °F"))
    mix = to_window(bath, parse("60 °F"), window, Way.ADD).value
    # Calculated by hand: 10 x (130 - 105) / (105 - 60).
    assert mix.water.rounded(5) == parse("5.5556 gal")
    assert mix.after == parse("105 °F")


def test_water_that_is_itself_within_the_window_never_overshoots() -> None:
    bath = portion(Decimal(10), Decimal(30))
    added = to_window(bath, parse("40 °C"), WINDOW, Way.ADD).value
    assert added.most is None
    assert added.after == parse("39 °C")
    replaced = to_window(bath, parse("40 °C"), WINDOW, Way.REPLACE).value
    assert replaced.most is None


def test_a_window_with_one_end_is_reached_at_that_end() -> None:
    bath = portion(Decimal(10), Decimal(30))
    warm = to_window(bath, parse("50 °C"), Window(parse("40 °C"), None), Way.ADD)
    assert warm.value.water == warm.value.least == parse("10 L")
    assert warm.value.most is None
    assert warm.steps[4] == "at least 10 L"
    hot = portion(Decimal(10), Decimal(50))
    cool = to_window(hot, parse("10 °C"), Window(None, parse("40 °C")), Way.REPLACE).value
    assert cool.after == parse("40 °C")
    assert cool.water == parse("2.5 L")


@pytest.mark.parametrize("at", ["38 °C", "41 °C", "43 °C", "109.4 °F"])
def test_a_bath_within_its_window_needs_no_water(at: str) -> None:
    answer = to_window(Portion(parse("20 L"), parse(at)), parse("60 °C"), WINDOW, Way.ADD)
    assert answer.value.water == answer.value.least == parse("0 L")
    assert answer.value.most is None
    assert answer.value.after.base == parse(at).base
    assert "no water is needed" in answer.steps[0]


@pytest.mark.parametrize(
    ("at", "tap", "said"),
    [
        ("30 °C", "38 °C", "use hotter water"),
        ("30 °C", "20 °C", "use hotter water"),
        ("50 °C", "43 °C", "use colder water"),
        ("50 °C", "60 °C", "use colder water"),
    ],
)
@pytest.mark.parametrize("way", list(Way))
def test_water_that_cannot_do_it_is_refused(at: str, tap: str, said: str, way: Way) -> None:
    bath = Portion(parse("20 L"), parse(at))
    with pytest.raises(QuantityError, match=said):
        to_window(bath, parse(tap), WINDOW, way)


def test_no_more_is_added_than_there_is_room_for() -> None:
    bath = portion(Decimal(20), Decimal(35))
    answer = to_window(bath, parse("60 °C"), WINDOW, Way.ADD, room=parse("3 L"))
    assert answer.value.water == parse("3 L")
    assert WINDOW.judge(answer.value.after).place is Place.WITHIN
    assert "only 3 L fits" in answer.steps
    roomy = to_window(bath, parse("60 °C"), WINDOW, Way.ADD, room=parse("30 L"))
    assert roomy.value.water.rounded(5) == parse("5.641 L")
    assert not any("fits" in step for step in roomy.steps)
    with pytest.raises(QuantityError, match="replace a part"):
        to_window(bath, parse("60 °C"), WINDOW, Way.ADD, room=parse("2 L"))


def test_an_aim_of_ones_own_is_taken_where_it_can_be_reached() -> None:
    bath = portion(Decimal(20), Decimal(35))
    mix = to_window(bath, parse("60 °C"), WINDOW, Way.ADD, aim=parse("42 °C")).value
    assert mix.after == parse("42 °C")
    for aim, tap in (
        ("44 °C", "60 °C"),
        ("37 °C", "60 °C"),
        ("42 °C", "41 °C"),
        ("40 °C", "40 °C"),
    ):
        with pytest.raises(QuantityError, match="cannot be reached"):
            to_window(bath, parse(tap), WINDOW, Way.ADD, aim=parse(aim))
    with pytest.raises(QuantityError, match="no temperature"):
        to_window(bath, parse("60 °C"), WINDOW, Way.ADD, aim=parse("42 mL"))


@pytest.mark.parametrize(("volume", "at"), [("0 L", "30 °C"), ("30 °C", "30 °C"), ("1 L", "1 L")])
def test_a_portion_is_a_volume_at_a_temperature(volume: str, at: str) -> None:
    with pytest.raises(QuantityError):
        Portion(parse(volume), parse(at))


def _mix(litres: Decimal, at: Decimal, tap: Decimal, way: Way) -> Mix:
    bath, water = portion(litres, at), Quantity(tap, Unit.CELSIUS)
    assume(WINDOW.judge(bath.temperature).place is not Place.WITHIN)
    try:
        return to_window(bath, water, WINDOW, way).value
    except QuantityError:
        assume(at < 38 < tap or tap < 43 < at)
        raise


@given(litres=volumes, at=temperatures, tap=temperatures)
def test_what_is_added_leads_into_the_window_and_its_bounds_to_the_ends(
    litres: Decimal, at: Decimal, tap: Decimal
) -> None:
    mix = _mix(litres, at, tap, Way.ADD)
    bath, water = portion(litres, at), Quantity(tap, Unit.CELSIUS)
    near, far = (38, 43) if at < 38 else (43, 38)
    there = mixed(bath, Portion(mix.water, water))
    assert abs(there.temperature.base - mix.after.base) < TINY
    assert 38 - TINY <= there.temperature.base <= 43 + TINY
    assert abs(mixed(bath, Portion(mix.least, water)).temperature.base - near) < TINY
    if mix.most is not None:
        assert mix.least.base < mix.water.base < mix.most.base
        assert abs(mixed(bath, Portion(mix.most, water)).temperature.base - far) < TINY


@given(litres=volumes, at=temperatures, tap=temperatures, way=st.sampled_from(Way))
def test_the_units_of_bath_tap_and_window_do_not_change_the_water(
    litres: Decimal, at: Decimal, tap: Decimal, way: Way
) -> None:
    mix = _mix(litres, at, tap, way)
    gallons = Quantity(litres, Unit.LITRE).to(Unit.GALLON)
    bath = Portion(gallons, Quantity(at, Unit.CELSIUS).to(Unit.FAHRENHEIT))
    window = Window(parse("100.4 °F"), parse("109.4 °F"))
    other = to_window(bath, Quantity(tap, Unit.CELSIUS).to(Unit.FAHRENHEIT), window, way).value
    assert (other.water.unit, other.after.unit) == (Unit.GALLON, Unit.FAHRENHEIT)
    assert abs(other.water.base - mix.water.base) <= mix.water.base * TINY
    assert abs(other.after.base - mix.after.base) <= TINY


@given(litres=volumes, at=temperatures, tap=temperatures)
def test_replacing_is_mixing_what_is_kept_with_what_comes_in(
    litres: Decimal, at: Decimal, tap: Decimal
) -> None:
    mix = _mix(litres, at, tap, Way.REPLACE)
    assert mix.water.value < litres
    kept = Quantity(litres - mix.water.value, Unit.LITRE)
    there = mixed(
        Portion(kept, Quantity(at, Unit.CELSIUS)), Portion(mix.water, Quantity(tap, Unit.CELSIUS))
    )
    assert abs(there.temperature.base - mix.after.base) < TINY
    assert 38 <= mix.after.value <= 43


def test_the_ends_of_the_window_may_be_aimed_at() -> None:
    bath = portion(Decimal(20), Decimal(35))
    for aim in ("38 °C", "43 °C"):
        mix = to_window(bath, parse("60 °C"), WINDOW, Way.REPLACE, aim=parse(aim)).value
        assert mix.after == parse(aim)


# Calculated by hand: 10 L x (38 - 28) / (48 - 38) = 10 L.
def test_room_for_just_the_least_is_room_enough() -> None:
    bath = portion(Decimal(10), Decimal(28))
    mix = to_window(bath, parse("48 °C"), WINDOW, Way.ADD, room=parse("10 L")).value
    assert mix.water == mix.least == parse("10 L")
    assert mix.after == parse("38 °C")
