"""Forced-air drying; at least 10 min by ANSI/AAMI ST91:2021 (secondary copy)."""

from __future__ import annotations

import pytest

from assistant.procedure.quantity import QuantityError, parse
from assistant.trade.drying import judge
from assistant.trade.outcome import Outcome

LIMIT = parse("20 psi")  # invented


# ANSI/AAMI ST91:2021 (secondary copy): 9:59 is short, 10:00 is enough.
@pytest.mark.parametrize(
    ("elapsed_s", "pressure", "wanted"),
    [
        (9 * 60 + 59, "15 psi", Outcome.VOID),
        (10 * 60, "15 psi", Outcome.PASS),
        (10 * 60, "20 psi", Outcome.PASS),
        (10 * 60, "20.1 psi", Outcome.FAIL),
        (10 * 60, "137 kPa", Outcome.PASS),
        (10 * 60, "138 kPa", Outcome.FAIL),
        (1, "25 psi", Outcome.FAIL),
    ],
)
def test_air_dries_long_enough_and_gently_enough(
    elapsed_s: int, pressure: str, wanted: Outcome
) -> None:
    assert judge(elapsed_s, 600, parse(pressure), LIMIT).value is wanted


def test_what_is_missing_is_said() -> None:
    assert judge(599, 600, parse("15 psi"), LIMIT).steps[-1] == "dry on for 1 s"
    assert "inspect" in judge(599, 600, parse("25 psi"), LIMIT).steps[-1]


def test_impossible_dryings_are_refused() -> None:
    with pytest.raises(QuantityError, match="is none"):
        judge(1, 0, LIMIT, LIMIT)
    with pytest.raises(QuantityError, match="below zero"):
        judge(-1, 1, LIMIT, LIMIT)
    with pytest.raises(QuantityError, match="below zero"):
        judge(1, 1, parse("-1 psi"), LIMIT)
    with pytest.raises(QuantityError, match="no pressure"):
        judge(1, 1, LIMIT, parse("1 mL"))
