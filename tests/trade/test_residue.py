"""Cleaning verification against the levels of ISO 15883-5:2021 (secondary copy)."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.procedure.quantity import Quantity, QuantityError, Unit, parse
from assistant.trade.outcome import Outcome
from assistant.trade.residue import (
    LEVELS,
    Analyte,
    Meter,
    judge,
    judge_light,
    most_found,
    per_surface,
)


# ISO 15883-5:2021, alert and action levels (secondary copy).
@pytest.mark.parametrize(
    ("analyte", "alert", "action"),
    [
        (Analyte.PROTEIN, "3 µg/cm²", "6.4 µg/cm²"),
        (Analyte.HAEMOGLOBIN, "1.0 µg/cm²", "2.2 µg/cm²"),
        (Analyte.CARBOHYDRATE, "0.9 µg/cm²", "1.8 µg/cm²"),
        (Analyte.TOC, "6 µg/cm²", "12 µg/cm²"),
        (Analyte.ATP, "10 fmol/cm²", "22 fmol/cm²"),
    ],
)
def test_levels_are_those_of_the_standard(analyte: Analyte, alert: str, action: str) -> None:
    assert LEVELS[analyte].alert == parse(alert)
    assert LEVELS[analyte].action == parse(action)


# ISO 15883-5:2021: protein 2.9 passes, 3.0 and 6.39 alert, 6.4 fails; here on 50 cm².
@pytest.mark.parametrize(
    ("found", "wanted"),
    [
        ("0 µg", Outcome.PASS),
        ("145 µg", Outcome.PASS),
        ("149.9999 µg", Outcome.PASS),
        ("150 µg", Outcome.ALERT),
        ("319.5 µg", Outcome.ALERT),
        ("319.9999 µg", Outcome.ALERT),
        ("320 µg", Outcome.FAIL),
        ("0.32 mg", Outcome.FAIL),
    ],
)
def test_protein_is_judged_from_mass_and_area(found: str, wanted: Outcome) -> None:
    assert judge(Analyte.PROTEIN, parse(found), parse("50 cm²")).value is wanted
    assert judge(Analyte.PROTEIN, parse(found), parse("5000 mm²")).value is wanted


# ISO 15883-5:2021: action 6.4 µg/cm² on 50 cm² is 320 µg.
def test_the_most_that_may_be_found_on_a_surface() -> None:
    total = most_found(Analyte.PROTEIN, parse("50 cm²"))
    assert total.value == parse("320 µg")
    assert total.steps == ("protein 6.4 µg/cm² \N{MULTIPLICATION SIGN} 50 cm² = 320 µg",)


# ISO 15883-5:2021: 10 and 22 fmol/cm².
def test_adenosine_triphosphate_is_judged_in_femtomoles() -> None:
    area = parse("10 cm²")
    assert judge(Analyte.ATP, parse("99 fmol"), area).value is Outcome.PASS
    assert judge(Analyte.ATP, parse("100 fmol"), area).value is Outcome.ALERT
    assert judge(Analyte.ATP, parse("220 fmol"), area).value is Outcome.FAIL


def test_the_working_is_shown() -> None:
    said = judge(Analyte.PROTEIN, parse("100 µg"), parse("30 cm²"))
    assert said.steps == (
        "protein 100 µg ÷ 30 cm² ≈ 3.33333 µg/cm²",
        "alert at 3 µg/cm², action at 6.4 µg/cm² (ISO 15883-5:2021): alert",
    )


@given(
    analyte=st.sampled_from(Analyte),
    area=st.decimals(min_value="0.01", max_value=5000, places=2),
)
def test_what_reaches_the_action_level_on_any_surface_fails_and_less_does_not(
    analyte: Analyte, area: object
) -> None:
    surface = parse(f"{area} cm²")
    total = most_found(analyte, surface).value
    assert judge(analyte, total, surface).value is Outcome.FAIL
    less = Quantity(total.value - parse("0.000001 µg").value, total.unit)
    assert judge(analyte, less, surface).value is Outcome.ALERT
    reached = per_surface(analyte, total, surface).value
    assert reached.base == LEVELS[analyte].action.base


@pytest.mark.parametrize(
    ("found", "area"),
    [("5 fmol", "50 cm²"), ("-1 µg", "50 cm²"), ("5 µg", "0 cm²"), ("5 µg", "50 cm")],
)
def test_impossible_measurements_are_refused(found: str, area: str) -> None:
    with pytest.raises(QuantityError):
        judge(Analyte.PROTEIN, parse(found), parse(area))


# AJIC 2013: less than 200 RLU for endoscope channels; PMC10426997: 250 RLU for
# hand-cleaned instruments.  Each holds on the meter of its own study only.
@pytest.mark.parametrize(
    ("limit", "reading", "wanted"),
    [
        ("200 RLU", "199 RLU", Outcome.PASS),
        ("200 RLU", "200 RLU", Outcome.FAIL),
        ("250 RLU", "200 RLU", Outcome.PASS),
        ("250 RLU", "250 RLU", Outcome.FAIL),
    ],
)
def test_light_is_judged_by_the_meters_own_limit(limit: str, reading: str, wanted: Outcome) -> None:
    said = judge_light(Meter("invented meter 7", parse(limit)), parse(reading))
    assert said.value is wanted
    assert "invented meter 7" in said.steps[0]


def test_no_light_is_judged_without_a_meter_and_its_limit() -> None:
    with pytest.raises(QuantityError, match="name the meter"):
        Meter(" ", parse("200 RLU"))
    with pytest.raises(QuantityError, match="light reading"):
        Meter("invented meter 7", Quantity(parse("200 mL").value, Unit.MILLILITRE))
    with pytest.raises(QuantityError, match="below zero"):
        judge_light(Meter("invented meter 7", parse("200 RLU")), parse("-1 RLU"))
