"""Water quality against the limits of AAMI TIR34:2014 and ANSI/AAMI ST108:2023."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.procedure.quantity import Quantity, QuantityError, Window, parse
from assistant.trade.outcome import Outcome
from assistant.trade.water import (
    ST108_2023,
    TIR34_2014,
    Below,
    Grade,
    Property,
    Row,
    Standing,
    WaterTable,
    judge,
)

OURS = WaterTable(
    "invented facility table",
    Standing.FACILITY,
    (Row(Grade.CRITICAL, Property.BACTERIA, Below(parse("10 CFU/mL"))),),
)


def limits(table: WaterTable) -> dict[tuple[Grade, Property], str]:
    return {(row.grade, row.of): str(row.allowed) for row in table.rows}


# AAMI TIR34:2014 (superseded), tables of utility and critical water.
def test_the_superseded_table_holds_its_published_limits() -> None:
    assert TIR34_2014.standing is Standing.SUPERSEDED
    assert limits(TIR34_2014) == {
        (Grade.UTILITY, Property.PH): "6\N{EN DASH}9 pH",
        (Grade.UTILITY, Property.HARDNESS): "less than 150 mg/L",
        (Grade.UTILITY, Property.CONDUCTIVITY): "less than 500 µS/cm",
        (Grade.UTILITY, Property.CHLORIDE): "less than 250 mg/L",
        (Grade.CRITICAL, Property.PH): "5\N{EN DASH}7 pH",
        (Grade.CRITICAL, Property.HARDNESS): "less than 1 mg/L",
        (Grade.CRITICAL, Property.CONDUCTIVITY): "less than 10 µS/cm",
        (Grade.CRITICAL, Property.CHLORIDE): "less than 1 mg/L",
        (Grade.CRITICAL, Property.TOC): "less than 1.0 mg/L",
        (Grade.CRITICAL, Property.BACTERIA): "less than 10 CFU/mL",
        (Grade.CRITICAL, Property.ENDOTOXIN): "less than 10 EU/mL",
    }


# ANSI/AAMI ST108:2023, from memory.
def test_the_table_from_memory_is_marked_unverified() -> None:
    assert ST108_2023.standing is Standing.UNVERIFIED
    assert limits(ST108_2023) == {
        (Grade.UTILITY, Property.PH): "6.5\N{EN DASH}9.5 pH",
        (Grade.UTILITY, Property.HARDNESS): "less than 150 mg/L",
        (Grade.UTILITY, Property.CONDUCTIVITY): "less than 500 µS/cm",
        (Grade.UTILITY, Property.BACTERIA): "less than 500 CFU/mL",
        (Grade.CRITICAL, Property.PH): "5.0\N{EN DASH}7.5 pH",
        (Grade.CRITICAL, Property.HARDNESS): "less than 1 mg/L",
        (Grade.CRITICAL, Property.CONDUCTIVITY): "less than 10 µS/cm",
        (Grade.CRITICAL, Property.TOC): "less than 1.0 mg/L",
        (Grade.CRITICAL, Property.BACTERIA): "less than 10 CFU/mL",
        (Grade.CRITICAL, Property.ENDOTOXIN): "less than 10 EU/mL",
    }
    said = judge(ST108_2023, Grade.CRITICAL, Property.TOC, parse("0.4 mg/L"))
    assert said.steps[-1] == "limits: from memory, not verified against the standard"


# Limits written "<10" are strict: 10.0 fails.
@pytest.mark.parametrize("table", [TIR34_2014, ST108_2023], ids=lambda table: str(table.name))
@pytest.mark.parametrize(
    ("of", "passes", "fails"),
    [
        (Property.BACTERIA, "9.9 CFU/mL", "10.0 CFU/mL"),
        (Property.ENDOTOXIN, "9.99 EU/mL", "10 EU/mL"),
        (Property.CONDUCTIVITY, "9.999 µS/cm", "10.0 µS/cm"),
        (Property.HARDNESS, "0.99 mg/L", "1.0 mg/L"),
        (Property.TOC, "0.99 mg/L", "1.00 mg/L"),
        (Property.PH, "5.0 pH", "4.99 pH"),
    ],
)
def test_the_limit_itself_fails(table: WaterTable, of: Property, passes: str, fails: str) -> None:
    assert judge(table, Grade.CRITICAL, of, parse(passes)).value is Outcome.PASS
    assert judge(table, Grade.CRITICAL, of, parse(fails)).value is Outcome.FAIL


# AAMI TIR34:2014, and ANSI/AAMI ST108:2023 from memory: utility water.
@pytest.mark.parametrize(
    ("table", "of", "passes", "fails"),
    [
        (TIR34_2014, Property.HARDNESS, "149.9 mg/L", "150 mg/L"),
        (TIR34_2014, Property.CONDUCTIVITY, "499 µS/cm", "500 µS/cm"),
        (TIR34_2014, Property.CHLORIDE, "249 mg/L", "250.0 mg/L"),
        (TIR34_2014, Property.PH, "6 pH", "5.9 pH"),
        (TIR34_2014, Property.PH, "9.0 pH", "9.1 pH"),
        (ST108_2023, Property.HARDNESS, "149.9 mg/L", "150 mg/L"),
        (ST108_2023, Property.CONDUCTIVITY, "499 µS/cm", "500 µS/cm"),
        (ST108_2023, Property.BACTERIA, "499 CFU/mL", "500 CFU/mL"),
        (ST108_2023, Property.PH, "6.5 pH", "6.4 pH"),
        (ST108_2023, Property.PH, "9.5 pH", "9.6 pH"),
    ],
)
def test_utility_water_has_limits_of_its_own(
    table: WaterTable, of: Property, passes: str, fails: str
) -> None:
    assert judge(table, Grade.UTILITY, of, parse(passes)).value is Outcome.PASS
    assert judge(table, Grade.UTILITY, of, parse(fails)).value is Outcome.FAIL


# AAMI TIR34:2014 and ANSI/AAMI ST108:2023 (from memory): upper ends of critical water.
def test_the_upper_ends_of_the_ph_differ_between_the_tables() -> None:
    for table, passes, fails in ((TIR34_2014, "7 pH", "7.1 pH"), (ST108_2023, "7.5 pH", "7.6 pH")):
        assert judge(table, Grade.CRITICAL, Property.PH, parse(passes)).value is Outcome.PASS
        assert judge(table, Grade.CRITICAL, Property.PH, parse(fails)).value is Outcome.FAIL
    chloride = ("0.99 mg/L", Outcome.PASS), ("1 mg/L", Outcome.FAIL)
    for value, wanted in chloride:
        said = judge(TIR34_2014, Grade.CRITICAL, Property.CHLORIDE, parse(value))
        assert said.value is wanted


@given(
    limit=st.decimals(min_value="0.001", max_value=1000, places=3),
    below=st.decimals(min_value="0.001", max_value=1, places=3),
)
def test_strict_limits_are_strict_whatever_they_are(limit: Decimal, below: Decimal) -> None:
    at = Quantity(limit, parse("1 CFU/mL").unit)
    row = Row(Grade.CRITICAL, Property.BACTERIA, Below(at))
    table = replace(OURS, rows=(row,))

    def outcome(value: Decimal) -> Outcome:
        return judge(table, row.grade, row.of, Quantity(value, at.unit)).value

    assert outcome(limit) is Outcome.FAIL
    assert outcome(limit + below) is Outcome.FAIL
    assert outcome(limit - min(below, limit)) is Outcome.PASS
    assert outcome(limit - Decimal("1e-9")) is Outcome.PASS


def test_a_facilitys_own_table_is_judged_by_without_a_remark() -> None:
    said = judge(OURS, Grade.CRITICAL, Property.BACTERIA, parse("10.0 CFU/mL"))
    measured = "bacteria of critical water 10.0 CFU/mL"
    allowed = "allowed less than 10 CFU/mL (invented facility table)"
    assert said.steps == (f"{measured}, {allowed}: fail",)


def test_a_row_that_the_table_lacks_is_asked_for() -> None:
    with pytest.raises(QuantityError, match="no limit for chloride of critical water"):
        judge(OURS, Grade.CRITICAL, Property.CHLORIDE, parse("1 mg/L"))
    with pytest.raises(QuantityError, match="bacteria of utility water"):
        judge(OURS, Grade.UTILITY, Property.BACTERIA, parse("1 CFU/mL"))


def test_a_value_of_another_kind_is_refused() -> None:
    with pytest.raises(QuantityError, match="mass concentration"):
        judge(OURS, Grade.CRITICAL, Property.BACTERIA, parse("1 mg/L"))


def test_one_property_is_limited_once() -> None:
    twice = Row(Grade.CRITICAL, Property.BACTERIA, Window(None, parse("5 CFU/mL")))
    with pytest.raises(QuantityError, match="twice"):
        replace(OURS, rows=(*OURS.rows, twice))
