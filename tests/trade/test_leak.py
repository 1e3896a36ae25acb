"""Leak tests: the hold, the drop, the units; the limits here are invented."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.procedure.quantity import Quantity, QuantityError, Unit, Window, parse
from assistant.trade.leak import LeakTest, judge
from assistant.trade.outcome import Outcome

if TYPE_CHECKING:
    from decimal import Decimal

TEST = LeakTest(Window(parse("160 mmHg"), parse("180 mmHg")), 60, parse("5 mmHg"))


@pytest.mark.parametrize(
    ("start", "end", "held_s", "wanted"),
    [
        ("170 mmHg", "170 mmHg", 60, Outcome.PASS),
        ("170 mmHg", "165 mmHg", 60, Outcome.PASS),
        ("170 mmHg", "164.9 mmHg", 60, Outcome.FAIL),
        ("160 mmHg", "160 mmHg", 60, Outcome.PASS),
        ("170 mmHg", "165 mmHg", 59, Outcome.VOID),
        ("170 mmHg", "164 mmHg", 10, Outcome.FAIL),
        ("159.9 mmHg", "159 mmHg", 60, Outcome.VOID),
        ("181 mmHg", "180 mmHg", 60, Outcome.VOID),
        ("181 mmHg", "100 mmHg", 60, Outcome.FAIL),
        ("170 mmHg", "170.1 mmHg", 60, Outcome.VOID),
    ],
)
def test_a_hold_passes_leaks_or_is_made_again(
    start: str, end: str, held_s: int, wanted: Outcome
) -> None:
    said = judge(TEST, parse(start), parse(end), held_s)
    assert said.value is wanted
    assert said.steps[-1] == wanted


# NIST SP 811: psi 6.894 757 kPa, mmHg 0.133 322 4 kPa (from memory); 3 psi is 155.1 mmHg,
# 22.5 kPa is 168.8 mmHg.
@pytest.mark.parametrize(
    ("start", "end", "wanted"),
    [
        ("22.5 kPa", "21.9 kPa", Outcome.PASS),
        ("22.5 kPa", "21.8 kPa", Outcome.FAIL),
        ("3.2 psi", "3.11 psi", Outcome.PASS),
        ("3.2 psi", "3.1 psi", Outcome.FAIL),
        ("3 psi", "3 psi", Outcome.VOID),
        ("22.5 kPa", "3.2 psi", Outcome.PASS),
    ],
)
def test_gauges_may_read_in_other_units_than_the_procedure(
    start: str, end: str, wanted: Outcome
) -> None:
    assert judge(TEST, parse(start), parse(end), 60).value is wanted


@given(
    start=st.decimals(min_value=160, max_value=180, places=1),
    drop=st.decimals(min_value=0, max_value=20, places=1),
    unit=st.sampled_from([Unit.KILOPASCAL, Unit.MILLIMETRE_OF_MERCURY]),
)
def test_the_unit_of_the_gauge_does_not_change_the_judgment(
    start: Decimal, drop: Decimal, unit: Unit
) -> None:
    # mmHg to kPa ends within 34 digits, so the conversion is exact.
    first = Quantity(start, Unit.MILLIMETRE_OF_MERCURY).to(unit)
    last = Quantity(start - drop, Unit.MILLIMETRE_OF_MERCURY).to(unit)
    wanted = Outcome.FAIL if drop > 5 else Outcome.PASS
    assert judge(TEST, first, last, 60).value is wanted


def test_the_loss_is_shown_in_the_gauges_unit() -> None:
    said = judge(TEST, parse("22.5 kPa"), parse("22 kPa"), 60)
    assert said.steps == (
        "22.5 kPa to 22 kPa in 1 min: lost 0.5 kPa",
        "at most 5 mmHg in 1 min",
        "pass",
    )


def test_impossible_tests_are_refused() -> None:
    with pytest.raises(QuantityError, match="below zero"):
        judge(TEST, parse("-1 mmHg"), parse("0 mmHg"), 60)
    with pytest.raises(QuantityError, match="no pressure"):
        judge(TEST, parse("170 mmHg"), parse("5 mL"), 60)
    with pytest.raises(QuantityError, match="below zero"):
        judge(TEST, parse("170 mmHg"), parse("170 mmHg"), -1)
    with pytest.raises(QuantityError, match="is none"):
        LeakTest(TEST.pressure, 0, parse("5 mmHg"))
    with pytest.raises(QuantityError):
        LeakTest(Window(parse("1 °C"), None), 60, parse("5 mmHg"))
    with pytest.raises(QuantityError):
        LeakTest(TEST.pressure, 60, parse("5 °C"))


def test_a_loss_between_two_gauges_is_shown_in_the_first_ones_unit() -> None:
    # NIST SP 811 (from memory): 0.5 psi is 25.857 mmHg.
    said = judge(TEST, parse("3.5 psi"), parse("3 psi"), 1)
    assert said.steps[0] == "3.5 psi to 3 psi in 1 s: lost 0.5 psi"
    brief = LeakTest(TEST.pressure, 1, parse("25.86 mmHg"))
    assert judge(brief, parse("3.3 psi"), parse("2.8 psi"), 1).value is Outcome.PASS
