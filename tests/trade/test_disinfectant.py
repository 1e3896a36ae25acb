"""High-level disinfectants against CDC's guideline.

CDC, Guideline for Disinfection and Sterilization in Healthcare Facilities, 2008, table 4.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.procedure.quantity import Quantity, QuantityError, Unit, Window, parse
from assistant.trade.disinfectant import Disinfectant, counted_s, judge
from assistant.trade.outcome import Outcome

if TYPE_CHECKING:
    from decimal import Decimal

DAY_S = 86_400
# CDC 2008, table 4.
OPA = Disinfectant(
    "ortho-phthalaldehyde 0.55 %",
    Window(parse("20 °C"), None),
    12 * 60,
    parse("0.3 %"),
    14 * DAY_S,
)
# CDC 2008, table 4; the shorter end of 20 to 90 min.  The minimum effective
# concentration of 1.5 % and the age are from memory.
GLUTARALDEHYDE = Disinfectant(
    "glutaraldehyde 2 %",
    Window(parse("20 °C"), parse("25 °C")),
    20 * 60,
    parse("1.5 %"),
    14 * DAY_S,
)
# CDC 2008, table 4; the longer end of 20 to 90 min.
LONG_GLUTARALDEHYDE = replace(GLUTARALDEHYDE, least_s=90 * 60)
# CDC 2008, table 4.
PEROXIDE = Disinfectant(
    "hydrogen peroxide 7.5 %", Window(parse("20 °C"), None), 30 * 60, parse("6 %"), 21 * DAY_S
)
# CDC 2008, table 4; used once, so it has no age, and its concentration is that of the use.
PERACETIC = Disinfectant(
    "peracetic acid 0.2 %", Window(parse("50 °C"), parse("56 °C")), 12 * 60, parse("0.2 %")
)


@pytest.mark.parametrize(
    ("disinfectant", "at", "elapsed_s", "concentration", "age_s", "wanted"),
    [
        (OPA, "20 °C", 719, "0.55 %", 0, Outcome.FAIL),
        (OPA, "20.0 °C", 720, "0.55 %", 0, Outcome.PASS),
        (OPA, "19.9 °C", 720, "0.55 %", 0, Outcome.FAIL),
        (OPA, "68 °F", 720, "0.55 %", 0, Outcome.PASS),
        (OPA, "20 °C", 720, "0.3 %", 0, Outcome.PASS),
        (OPA, "20 °C", 720, "0.29 %", 0, Outcome.FAIL),
        (OPA, "20 °C", 720, "0.55 %", 14 * DAY_S, Outcome.PASS),
        (OPA, "20 °C", 720, "0.55 %", 14 * DAY_S + 1, Outcome.FAIL),
        (GLUTARALDEHYDE, "25 °C", 1200, "2 %", 0, Outcome.PASS),
        (GLUTARALDEHYDE, "25 °C", 1199, "2 %", 0, Outcome.FAIL),
        (GLUTARALDEHYDE, "25.1 °C", 1200, "2 %", 0, Outcome.FAIL),
        (GLUTARALDEHYDE, "19.9 °C", 1200, "2 %", 0, Outcome.FAIL),
        (LONG_GLUTARALDEHYDE, "20 °C", 5400, "2 %", 0, Outcome.PASS),
        (LONG_GLUTARALDEHYDE, "20 °C", 5399, "2 %", 0, Outcome.FAIL),
        (PEROXIDE, "20 °C", 1800, "6 %", 21 * DAY_S, Outcome.PASS),
        (PEROXIDE, "19.9 °C", 1800, "6 %", 0, Outcome.FAIL),
        (PEROXIDE, "20 °C", 1799, "6 %", 0, Outcome.FAIL),
        (PEROXIDE, "20 °C", 1800, "5.9 %", 0, Outcome.FAIL),
        (PEROXIDE, "20 °C", 1800, "6 %", 21 * DAY_S + 1, Outcome.FAIL),
        (PERACETIC, "50 °C", 720, "0.2 %", 10**9, Outcome.PASS),
        (PERACETIC, "56 °C", 720, "0.2 %", 0, Outcome.PASS),
        (PERACETIC, "50 °C", 719, "0.2 %", 0, Outcome.FAIL),
        (PERACETIC, "49.9 °C", 720, "0.2 %", 0, Outcome.FAIL),
        (PERACETIC, "56.1 °C", 720, "0.2 %", 0, Outcome.FAIL),
    ],
)
def test_contact_is_judged_as_the_guidelines_table_says(
    disinfectant: Disinfectant,
    at: str,
    elapsed_s: int,
    concentration: str,
    age_s: int,
    wanted: Outcome,
) -> None:
    intervals = [(parse(at), elapsed_s)]
    assert judge(disinfectant, intervals, parse(concentration), age_s).value is wanted


def test_time_below_the_temperature_does_not_count() -> None:
    said = counted_s(OPA, [(parse("21 °C"), 300), (parse("19 °C"), 600), (parse("20 °C"), 420)])
    assert said.value == 720
    assert said.steps == (
        "5 min at 21 °C counts",
        "10 min at 19 °C does not count",
        "7 min at 20 °C counts",
        "counted, at least 20 °C: 12 min",
    )


def test_every_fault_is_named() -> None:
    said = judge(OPA, [], parse("0.2 %"), 15 * DAY_S)
    assert said.steps == (
        "counted, at least 20 °C: 0 s",
        "contact is shorter than 12 min",
        "0.2 % is below 0.3 %",
        "it is older than 336 h",
        "ortho-phthalaldehyde 0.55 %: fail",
    )


@given(
    warm=st.integers(0, 2000),
    cold=st.integers(0, 2000),
    degrees=st.decimals(min_value=0, max_value="19.9", places=1),
)
def test_no_cold_time_ever_helps(warm: int, cold: int, degrees: Decimal) -> None:
    chilled = (Quantity(degrees, Unit.CELSIUS), cold)
    assert counted_s(OPA, [(parse("20 °C"), warm), chilled]).value == warm


def test_impossible_contacts_are_refused() -> None:
    with pytest.raises(QuantityError, match="below zero"):
        counted_s(OPA, [(parse("20 °C"), -1)])
    with pytest.raises(QuantityError, match="no temperature"):
        counted_s(OPA, [(parse("20 mL"), 1)])
    with pytest.raises(QuantityError, match="no share"):
        judge(OPA, [], parse("0.3 mL/L"), 0)
    with pytest.raises(QuantityError, match="below zero"):
        judge(OPA, [], parse("0.3 %"), -1)
    with pytest.raises(QuantityError, match="is none"):
        Disinfectant("invented", OPA.temperature, 0, parse("0.3 %"))
    with pytest.raises(QuantityError, match="not above zero"):
        Disinfectant("invented", OPA.temperature, 1, parse("0 %"))


def test_a_contact_of_one_second_is_the_shortest_there_is() -> None:
    brief = Disinfectant("invented", OPA.temperature, 1, parse("0.3 %"))
    assert judge(brief, [(parse("20 °C"), 1)], parse("0.3 %"), 0).value is Outcome.PASS
    assert judge(brief, [(parse("20 °C"), 0)], parse("0.3 %"), 0).value is Outcome.FAIL
