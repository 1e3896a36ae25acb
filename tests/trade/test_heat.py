"""A0 against figures calculated from ISO 15883-1, Annex B."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.procedure.quantity import Quantity, QuantityError, Unit, parse
from assistant.trade.heat import a0, hold_s


# Calculated from A0 = sum of 10^((T-80)/10) * dt, below 65 °C nothing (ISO 15883-1, Annex B).
@pytest.mark.parametrize(
    ("intervals", "wanted"),
    [
        ([("80 °C", 600)], "600.000"),
        ([("90 °C", 60)], "600.000"),
        ([("70 °C", 6000)], "600.000"),
        ([("90 °C", 300)], "3000.000"),
        ([("93 °C", 60)], "1197.157"),
        ([("95 °C", 60)], "1897.367"),
        ([("71 °C", 1800)], "226.607"),
        ([("60 °C", 3600)], "0.000"),
        ([("64.9 °C", 60)], "0.000"),
        ([("40 °C", 900)], "0.000"),
        (
            [
                ("60 °C", 60),
                ("65 °C", 60),
                ("70 °C", 60),
                ("80 °C", 60),
                ("90 °C", 60),
                ("85 °C", 30),
            ],
            "762.766",
        ),
        ([], "0.000"),
    ],
)
def test_a0_agrees_with_the_standards_rule(intervals: list[tuple[str, int]], wanted: str) -> None:
    value = a0((parse(temperature), Decimal(seconds)) for temperature, seconds in intervals)
    assert value.quantize(Decimal("0.001")) == Decimal(wanted)


def test_exactly_65_degrees_counts_in_either_unit() -> None:
    # The standard excludes what is below 65 °C; 65 °C = 149 °F.
    counted = a0([(parse("65 °C"), Decimal(60))])
    assert counted.quantize(Decimal("0.001")) == Decimal("1.897")
    assert a0([(parse("149 °F"), Decimal(60))]) == counted
    assert a0([(parse("148.999 °F"), Decimal(60))]) == 0


# Calculated from the same rule.
def test_a_hold_reaches_its_target() -> None:
    assert hold_s(Decimal(3000), parse("93 °C")).quantize(Decimal("0.01")) == Decimal("150.36")


def test_no_hold_below_65_degrees_ever_reaches_a_target() -> None:
    with pytest.raises(QuantityError, match="adds nothing"):
        hold_s(Decimal(600), parse("43 °C"))


def test_a0_needs_temperatures_and_times_that_run_forward() -> None:
    with pytest.raises(QuantityError):
        a0([(parse("80 mL"), Decimal(1))])
    with pytest.raises(QuantityError, match="below zero"):
        a0([(parse("80 °C"), Decimal(-1))])


@given(
    temperature=st.decimals(min_value=65, max_value=100, places=1),
    first=st.integers(0, 10_000),
    second=st.integers(0, 10_000),
)
def test_ten_degrees_more_is_ten_times_and_intervals_add(
    temperature: Decimal, first: int, second: int
) -> None:
    at = Quantity(temperature, Unit.CELSIUS)
    hotter = Quantity(temperature + 10, Unit.CELSIUS)
    split = a0([(at, Decimal(first)), (at, Decimal(second))])
    whole = a0([(at, Decimal(first + second))])
    assert abs(split - whole) <= whole * Decimal("1e-20")
    tenfold = a0([(hotter, Decimal(first))])
    assert abs(tenfold - 10 * a0([(at, Decimal(first))])) <= tenfold * Decimal("1e-20")
