"""Newton's law of cooling against textbook figures and numpy's least squares."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from assistant.procedure.quantity import Quantity, QuantityError, Unit, Window, parse
from assistant.trade.cooling import Cooling, after, fit, leaves, outlasts

ROOM = parse("20 °C")
SLOW = Cooling(ROOM, Decimal("0.01"))
WINDOW = Window(parse("38 °C"), parse("43 °C"))


# A textbook project of Hawkes Learning prints k = 0.079 per min for coffee that falls
# from 205 to 161.9 °F in 5 min in a room of 73 °F.
def test_a_rate_from_two_readings_agrees_with_a_textbook() -> None:
    cooling = fit(parse("73 °F"), [(0, parse("205 °F")), (300, parse("161.9 °F"))])
    assert round(cooling.value.per_min, 3) == Decimal("0.079")
    assert cooling.steps[0].startswith("2 readings over 5 min, room 73 °F: 0.07")


# OpenStax, Calculus volume 1, section 6.8 (from memory): coffee of 200 °F is at 180 °F
# after 2 min in a room of 70 °F; at 175 °F after about 2.5 min, at 155 °F after about 5 min.
def test_times_to_a_temperature_agree_with_a_textbook() -> None:
    cooling = fit(parse("70 °F"), [(0, parse("200 °F")), (120, parse("180 °F"))]).value
    hot = leaves(cooling, parse("200 °F"), Window(parse("175 °F"), None)).value
    cold = leaves(cooling, parse("200 °F"), Window(parse("155 °F"), None)).value
    # Calculated: 2 min x ln(130/105) / ln(130/110) = 153.4 s; with ln(130/85), 305.2 s.
    assert (hot, cold) == (153, 305)


def test_a_fit_agrees_with_least_squares_of_numpy() -> None:
    readings = [(0, "43.1 °C"), (300, "41.8 °C"), (660, "40.9 °C"), (1200, "38.7 °C")]
    cooling = fit(ROOM, [(at_s, parse(value)) for at_s, value in readings])
    minutes = np.array([at_s / 60 for at_s, _ in readings])
    logs = np.log([float(parse(value).value) - 20 for _, value in readings])
    slope = np.polyfit(minutes, logs, 1)[0]
    assert float(cooling.value.per_min) == pytest.approx(-slope, rel=1e-9)
    shuffled = fit(ROOM, [(at_s, parse(value)) for at_s, value in reversed(readings)])
    assert abs(shuffled.value.per_min - cooling.value.per_min) < Decimal("1e-20")


@pytest.mark.parametrize(
    ("readings", "said"),
    [
        ([], "two moments"),
        ([(0, "43 °C")], "two moments"),
        ([(60, "43 °C"), (60, "42 °C")], "two moments"),
        ([(0, "43 °C"), (60, "20 °C")], "one side"),
        ([(0, "43 °C"), (60, "19 °C")], "one side"),
        ([(0, "42 °C"), (60, "43 °C")], "do not come nearer"),
        ([(0, "42 °C"), (60, "42 °C")], "do not come nearer"),
        ([(0, "42 mL"), (60, "41 °C")], "no temperature"),
    ],
)
def test_readings_that_tell_no_rate_are_refused(readings: list[tuple[int, str]], said: str) -> None:
    with pytest.raises(QuantityError, match=said):
        fit(ROOM, [(at_s, parse(value)) for at_s, value in readings])


@pytest.mark.parametrize("rate", ["0", "-0.1", "NaN"])
def test_a_stated_rate_is_above_zero(rate: str) -> None:
    with pytest.raises(QuantityError, match="no cooling"):
        Cooling(ROOM, Decimal(rate))


@given(
    rate=st.decimals(min_value="0.001", max_value="0.2", places=4),
    start=st.decimals(min_value=21, max_value=60, places=1),
    room=st.decimals(min_value=5, max_value=20, places=1),
)
def test_a_fit_finds_the_rate_that_made_the_readings(
    rate: Decimal, start: Decimal, room: Decimal
) -> None:
    made = Cooling(Quantity(room, Unit.CELSIUS), rate)
    at = Quantity(start, Unit.CELSIUS)
    found = fit(made.room, [(s, after(made, at, s)) for s in (0, 240, 600)]).value
    assert abs(found.per_min - rate) < Decimal("1e-15")


rates = st.decimals(min_value="0.0001", max_value="0.5", places=4)
rooms = st.decimals(min_value=5, max_value=70, places=1)
scales = st.sampled_from([Unit.CELSIUS, Unit.FAHRENHEIT])


@given(
    rate=rates,
    start=st.decimals(min_value=38, max_value=43, places=1),
    room=rooms,
    scale=scales,
)
def test_a_bath_is_within_until_it_leaves_and_outside_a_second_later(
    rate: Decimal, start: Decimal, room: Decimal, scale: Unit
) -> None:
    cooling = Cooling(Quantity(room, Unit.CELSIUS), rate)
    at = Quantity(start, Unit.CELSIUS).to(scale)
    left_s = leaves(cooling, at, WINDOW).value
    # Times and temperatures are worked out in 28 digits.
    tiny = Fraction(1, 10**20)
    if left_s is None:
        assert 38 <= room <= 43
        assert 38 - tiny <= after(cooling, at, 1_000_000).base <= 43 + tiny
        return
    here, beyond = after(cooling, at, left_s), after(cooling, at, left_s + 1)
    assert 38 - tiny <= here.base <= 43 + tiny
    assert beyond.base < 38 + tiny or beyond.base > 43 - tiny
    # At the window's end within what one second can change: the rate times the
    # greatest difference to the room, 65 °C, in a sixtieth of a minute.
    end = 38 if room < start else 43
    assert abs(here.base - end) <= Fraction(rate) * 65 / 60 + tiny


@given(rate=rates, start=rooms, room=rooms, first=st.integers(0, 5000), second=st.integers(0, 5000))
def test_to_wait_twice_is_to_wait_once_as_long(
    rate: Decimal, start: Decimal, room: Decimal, first: int, second: int
) -> None:
    cooling = Cooling(Quantity(room, Unit.CELSIUS), rate)
    at = Quantity(start, Unit.CELSIUS)
    twice = after(cooling, after(cooling, at, first), second)
    assert abs(twice.value - after(cooling, at, first + second).value) < Decimal("1e-20")
    # It comes nearer to the room's temperature all the time, and never beyond it.
    away, left = abs(start - room), abs(twice.value - room)
    assert left <= away
    assert (twice.value - room) * (start - room) >= 0


@given(rate=rates, start=rooms, room=rooms, seconds=st.integers(0, 5000))
def test_the_scale_of_the_thermometer_does_not_change_how_a_bath_cools(
    rate: Decimal, start: Decimal, room: Decimal, seconds: int
) -> None:
    cooling = Cooling(Quantity(room, Unit.CELSIUS), rate)
    celsius = Quantity(start, Unit.CELSIUS)
    there = after(cooling, celsius.to(Unit.FAHRENHEIT), seconds)
    assert there.unit is Unit.FAHRENHEIT
    assert abs(there.base - after(cooling, celsius, seconds).base) < Fraction(1, 10**20)


@given(
    rate=rates,
    start=st.decimals(min_value=38, max_value=43, places=1),
    room=rooms,
    soak_s=st.integers(0, 7200),
)
def test_a_bath_lasts_a_soak_exactly_where_it_does_not_leave_before_its_end(
    rate: Decimal, start: Decimal, room: Decimal, soak_s: int
) -> None:
    cooling = Cooling(Quantity(room, Unit.CELSIUS), rate)
    at = Quantity(start, Unit.CELSIUS)
    end = after(cooling, at, soak_s).base
    # The hundredth of a millionth of a degree is left out, where rounding decides.
    assume(min(abs(end - 38), abs(end - 43)) > Fraction(1, 10**8))
    left_s = leaves(cooling, at, WINDOW).value
    lasts = outlasts(cooling, at, WINDOW, soak_s).value
    assert lasts is (left_s is None or soak_s <= left_s)
    assert lasts is (38 <= end <= 43)


# Calculated: ln((43 - 20) / (38 - 20)) / 0.01 per min = 24.512 min.
def test_a_bath_is_held_against_the_longest_soak_left() -> None:
    now = parse("43 °C")
    until = leaves(SLOW, now, WINDOW)
    assert until.value == 1470
    assert until.steps[0] == (
        "from 43 °C towards the room's 20 °C at 0.01000 per min it reaches 38 °C in 24 min 30 s"
    )
    assert outlasts(SLOW, now, WINDOW, 1470).value
    assert not outlasts(SLOW, now, WINDOW, 1471).value
    assert "ends at 38.0 °C: the bath lasts" in outlasts(SLOW, now, WINDOW, 1470).steps[-1]


def test_a_reading_in_fahrenheit_is_held_against_a_window_in_celsius() -> None:
    assert leaves(SLOW, parse("109.4 °F"), WINDOW).value == 1470
    assert after(SLOW, parse("109.4 °F"), 0) == parse("109.4 °F")


def test_a_bath_outside_its_window_lasts_no_soak_at_all() -> None:
    assert leaves(SLOW, parse("37.9 °C"), WINDOW).value == 0
    assert not outlasts(SLOW, parse("37.9 °C"), WINDOW, 0).value


def test_a_bath_at_the_cold_end_leaves_at_once() -> None:
    assert leaves(SLOW, parse("38 °C"), WINDOW).value == 0
    assert outlasts(SLOW, parse("38 °C"), WINDOW, 0).value


def test_a_bath_in_a_room_within_its_window_never_leaves() -> None:
    warm = Cooling(parse("38 °C"), Decimal("0.01"))
    assert leaves(warm, parse("43 °C"), WINDOW).value is None
    assert outlasts(warm, parse("43 °C"), WINDOW, 10**6).value


def test_a_bath_that_has_no_end_on_that_side_never_leaves() -> None:
    assert leaves(SLOW, parse("30 °C"), Window(None, parse("43 °C"))).value is None


# Calculated: ln((20 - 30) / (25 - 30)) / 0.01 per min = 69.31 min.
def test_a_cold_bath_in_a_warm_room_leaves_at_its_upper_end() -> None:
    warm = Cooling(parse("30 °C"), Decimal("0.01"))
    assert leaves(warm, parse("20 °C"), Window(None, parse("25 °C"))).value == 4158


def test_time_does_not_run_backward() -> None:
    with pytest.raises(QuantityError, match="below zero"):
        after(SLOW, parse("43 °C"), -1)
    with pytest.raises(QuantityError, match="below zero"):
        outlasts(SLOW, parse("43 °C"), WINDOW, -1)
    with pytest.raises(QuantityError, match="no temperature"):
        after(SLOW, parse("43 mL"), 1)


def test_the_span_of_the_readings_is_said_wherever_their_clock_began() -> None:
    found = fit(ROOM, [(7_000, parse("20.9 °C")), (7_600, parse("20.5 °C"))])
    assert found.steps[0].startswith("2 readings over 10 min, room 20 °C: ")


def test_a_cold_bath_that_warms_has_a_rate_too() -> None:
    # Calculated: ln(10 / 5) in 10 min.
    found = fit(ROOM, [(0, parse("10 °C")), (600, parse("15 °C"))])
    assert round(found.value.per_min, 6) == Decimal("0.069315")
    near = fit(ROOM, [(0, parse("19 °C")), (600, parse("19.5 °C"))])
    assert abs(near.value.per_min - found.value.per_min) < Decimal("1e-20")
