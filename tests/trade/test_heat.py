"""A0 against figures calculated from ISO 15883-1, Annex B."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.procedure.model import Dwell
from assistant.procedure.quantity import Quantity, QuantityError, Unit, parse
from assistant.procedure.sheet import read
from assistant.shipped import folder
from assistant.trade.heat import a0, hold_s

if TYPE_CHECKING:
    from random import Random


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


@given(
    intervals=st.lists(
        st.tuples(
            st.decimals(min_value=20, max_value=134, places=1).map(
                lambda value: Quantity(value, Unit.CELSIUS)
            ),
            st.integers(0, 5000).map(Decimal),
        ),
        max_size=6,
    ),
    cut=st.integers(0, 6),
    turn=st.randoms(use_true_random=False),
)
def test_a0_of_a_course_is_the_sum_over_its_parts_in_any_order_and_either_unit(
    intervals: list[tuple[Quantity, Decimal]], cut: int, turn: Random
) -> None:
    whole = a0(intervals)
    parts = a0(intervals[:cut]) + a0(intervals[cut:])
    assert abs(whole - parts) <= whole * Decimal("1e-20")
    assert abs(whole - sum(a0([one]) for one in intervals)) <= whole * Decimal("1e-20")
    turn.shuffle(intervals)
    fahrenheit = a0((at.to(Unit.FAHRENHEIT), time) for at, time in intervals)
    assert abs(whole - fahrenheit) <= whole * Decimal("1e-20")
    # The rule in floating point: the C library's power, apart from our decimals.
    floats = sum(
        10 ** ((float(at.value) - 80) / 10) * float(time)
        for at, time in intervals
        if at.value >= 65
    )
    assert float(whole) == pytest.approx(floats, rel=1e-9)


@given(
    temperature=st.decimals(min_value=65, max_value=134, places=1),
    target=st.decimals(min_value=1, max_value=10_000, places=1),
)
def test_a_hold_scores_its_target(temperature: Decimal, target: Decimal) -> None:
    at = Quantity(temperature, Unit.CELSIUS)
    assert abs(a0([(at, hold_s(target, at))]) - target) <= target * Decimal("1e-20")


# ISO 15883-1, Annex B: a sink soak scores 0, so it must never be called disinfection.
def test_no_bath_of_a_shipped_procedure_scores_anything_or_is_called_disinfection() -> None:
    procedures = [read(path) for path in sorted(folder("procedures").glob("*.yaml"))]
    baths = [bath for procedure in procedures for bath in procedure.baths]
    assert baths
    for bath in baths:
        assert bath.temperature.most is not None
        assert a0([(bath.temperature.most, Decimal(24 * 3600))]) == 0
    for procedure in procedures:
        for step in (step for part in procedure.components for step in part.steps):
            in_bath = step.bath or (isinstance(step.task, Dwell) and step.task.bath)
            assert not (in_bath and "disinfect" in f"{step.say} {step.short}".lower())
