"""Flushing after a splash, against ANSI/ISEA Z358.1 (read in mirrors)."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.procedure.quantity import QuantityError, parse
from assistant.procedure.sheet import read
from assistant.shipped import folder
from assistant.trade.exposure import Flush, flush, judge_eyewash
from assistant.trade.outcome import Outcome

if TYPE_CHECKING:
    from pathlib import Path


# ANSI/ISEA Z358.1: 15 min.
@pytest.mark.parametrize(
    ("elapsed_s", "wanted"),
    [
        (0, Flush(900, may_stop=False)),
        (14 * 60 + 59, Flush(1, may_stop=False)),
        (15 * 60, Flush(0, may_stop=True)),
        (16 * 60, Flush(0, may_stop=True)),
    ],
)
def test_a_flush_goes_on_for_fifteen_minutes(elapsed_s: int, wanted: Flush) -> None:
    assert flush(elapsed_s).value == wanted


def test_a_facility_may_ask_for_a_longer_flush_and_never_for_a_shorter() -> None:
    assert flush(900, 1800).value == Flush(900, may_stop=False)
    assert flush(900, 1800).steps == ("30 min - 15 min: 15 min left",)
    with pytest.raises(QuantityError, match="14 min 59 s is too short; give 15 min"):
        flush(0, 899)
    with pytest.raises(QuantityError, match="too short"):
        flush(0, -1)
    with pytest.raises(QuantityError, match="below zero"):
        flush(-1)


# ANSI/ISEA Z358.1: 0.4 gal/min (1.514 L/min by NIST Handbook 44), 60 to 100 °F, within 10 s.
@pytest.mark.parametrize(
    ("flow", "temperature", "reach_s", "wanted"),
    [
        ("0.4 gal/min", "60 °F", 10, Outcome.PASS),
        ("1.52 L/min", "100 °F", 0, Outcome.PASS),
        ("0.39 gal/min", "80 °F", 10, Outcome.FAIL),
        ("1.51 L/min", "80 °F", 10, Outcome.FAIL),
        ("0.4 gal/min", "59.9 °F", 10, Outcome.FAIL),
        ("0.4 gal/min", "38 °C", 10, Outcome.FAIL),
        ("0.4 gal/min", "80 °F", 11, Outcome.FAIL),
    ],
)
def test_an_eyewash_gives_enough_tepid_water_nearby(
    flow: str, temperature: str, reach_s: int, wanted: Outcome
) -> None:
    assert judge_eyewash(parse(flow), parse(temperature), reach_s).value is wanted


def test_every_fault_of_an_eyewash_is_named() -> None:
    said = judge_eyewash(parse("0.1 gal/min"), parse("50 °F"), 20)
    assert said.steps[:3] == (
        "0.1 gal/min is less than 0.4 gal/min",
        "50 °F is outside 60\N{EN DASH}100 °F",
        "20 s away, at most 10 s",
    )


def test_impossible_checks_of_an_eyewash_are_refused() -> None:
    with pytest.raises(QuantityError):
        judge_eyewash(parse("5 mL"), parse("80 °F"), 1)
    with pytest.raises(QuantityError):
        judge_eyewash(parse("1 gal/min"), parse("80 mL"), 1)
    with pytest.raises(QuantityError):
        judge_eyewash(parse("1 gal/min"), parse("80 °F"), -1)


# 29 CFR 1910.1030(d)(3): gloves; masks, with eye protection or a chin-length shield; gowns
# where splashes may be expected.  Common practice, no source: at a sink they always are.
@pytest.mark.parametrize("path", sorted(folder("procedures").glob("*.yaml")), ids=lambda p: p.stem)
def test_every_shipped_procedure_asks_for_what_keeps_splashes_off(path: Path) -> None:
    worn = " ".join(read(path).protective_equipment).lower()
    for any_of in (
        ("glove",),
        ("mask", "respirator"),
        ("shield", "goggles", "eye protection"),
        ("gown",),
    ):
        assert any(word in worn for word in any_of), (any_of, worn)


@given(elapsed_s=st.integers(0, 10_000), least_s=st.integers(900, 7200))
def test_what_was_flushed_and_what_is_left_make_the_whole_time(
    elapsed_s: int, least_s: int
) -> None:
    state = flush(elapsed_s, least_s).value
    assert state.may_stop is (elapsed_s >= least_s)
    assert elapsed_s + state.left_s == max(least_s, elapsed_s)
