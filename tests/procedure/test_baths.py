from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sheet_reading import exchanged, read, told

from assistant.procedure.quantity import Unit, Window, parse
from assistant.trade.bath import Ratio, detergent
from assistant.trade.cooling import Cooling

BATH = """    volume: 10 L
    dose: 0.5 % of the mixture
    measured_in: fl oz
"""


def dosed(full: str, volume: str, dose: str, unit: str = "") -> str:
    """What the technician is told to measure out."""
    measured = f"    measured_in: {unit}\n" if unit else ""
    sheet = exchanged(full, BATH, f"    {volume}\n    dose: {dose}\n{measured}")
    (step,) = [step for step in read(sheet).component("foam").steps if step.id == "foam.dose"]
    return step.say.removeprefix("Add ").removesuffix(" of demo foam. Stir gently.")


# Basin of 24 x 20 in with 8 in of water, 1 fl oz/gal: 491.612 mL; 60 x 50 x 25 cm:
# 75.0 L, 585.94 mL; 0.5 % of the mixture is 5.025 mL per litre of water (check values,
# computed from the definitions of NIST Handbook 44, Appendix C).
@pytest.mark.parametrize(
    ("volume", "dose", "unit", "said"),
    [
        ("volume: 10 L", "5 mL/L", "", "50 mL"),
        ("volume: 10 gal", "1 fl oz/gal", "", "10 fl oz"),
        ("volume: 10 gal", "1 fl oz/gal", "mL", "296 mL"),
        ("volume: 10 L", "0.5 % of the mixture", "", "50.3 mL"),
        ("volume: 10 L", "0.5 % of the mixture", "fl oz", "1.7 fl oz"),
        ("volume: 10 L", '"1:200"', "", "50 mL"),
        ("volume: 10 L", "1:200", "", "50 mL"),
        ("volume: 10 L", '"1 : 200"', "L", "0.05 L"),
        ("basin: {length: 24 in, width: 20 in, water_depth: 8 in}", "1 fl oz/gal", "mL", "492 mL"),
        ("basin: {length: 60 cm, width: 50 cm, water_depth: 25 cm}", "1 fl oz/gal", "mL", "586 mL"),
        ("fill_line: {container: 2 L, count: 2.5}", "5 mL/L", "", "25 mL"),
        ("fill_line: {container: 1 gal, count: 3}", "1 fl oz/gal", "", "3 fl oz"),
    ],
)
def test_each_form_of_dose_and_volume_gives_the_amount_to_measure_out(
    full: str, volume: str, dose: str, unit: str, said: str
) -> None:
    assert dosed(full, volume, dose, unit) == said


def test_a_bath_keeps_what_the_sheet_states(full: str) -> None:
    foam, acid = read(full).baths
    assert foam.dose == parse("0.5 %")
    assert foam.measured_in is Unit.FLUID_OUNCE
    assert foam.temperature == Window(parse("30 °C"), parse("40 °C"))
    assert foam.most_age_s == 4 * 3600
    assert foam.most_uses == 6
    assert foam.cooling == Cooling(parse("21 °C"), Decimal("0.008"))
    assert acid.volume == parse("5.0 L")
    assert acid.dose == Ratio(Decimal(200))
    assert acid.measured_in is None  # the station's unit, or the dose's own
    assert acid.temperature == Window(None, parse("110 °F"))
    assert (acid.most_age_s, acid.most_uses, acid.cooling) == (None, None, None)


def test_how_volume_and_dose_were_got_is_kept_with_the_bath_and_its_steps(full: str) -> None:
    foam, acid = read(full).baths
    assert foam.working[0] == "10 L of water, as stated"
    assert "0.5 % by volume of the finished mixture" in foam.working
    assert acid.working[0] == "2.5 fillings of 2 L = 5 L at the fill line"
    assert any("1 part of detergent to 200 parts of water" in line for line in acid.working)
    steps = {step.id: step for step in read(full).component("acid").steps}
    assert steps["acid.fill"].working == acid.working
    assert steps["acid.dose"].working == acid.working


@given(
    tenths=st.integers(1, 2000),
    share=st.integers(1, 30).map(lambda n: Decimal(n) / 10),
)
def test_a_share_of_the_mixture_is_that_share_of_water_and_detergent_together(
    tenths: int, share: Decimal
) -> None:
    # By definition of per cent by volume: detergent ÷ (water + detergent).

    water = parse(f"{Decimal(tenths) / 10} L")
    amount = detergent(water, parse(f"{share} %"), Unit.MILLILITRE).value
    exact = amount.base / (water.base + amount.base) * 100
    assert abs(exact - Fraction(share)) < Fraction(1, 10**20)


def test_a_bare_per_cent_is_refused_with_what_each_meaning_comes_to(full: str) -> None:
    (line,) = told(exchanged(full, "0.5 % of the mixture", "0.5 %"))
    assert '"0.5 % of the mixture" (5.03 mL/L)' in line
    assert '"5 mL/L" for of the water' in line


# Newton's law of cooling: from 40 to 30 °C in a room of 21 °C takes ln(19/9)/rate.
@pytest.mark.parametrize(("rate", "good"), [("0.14", True), ("0.15", False)])
def test_a_soak_that_its_bath_cannot_outlast_is_refused(full: str, rate: str, good: bool) -> None:
    # ln(19/9) = 0.747: 5.3 min at 0.14 per min, 4.98 min at 0.15.
    soak = "      - {id: soak, say: Soak it., short: soak it, soak: {bath: foam, least: 5 min}}\n"
    sheet = exchanged(
        full, '"0.008"', f'"{rate}"', "      - id: flush\n", f"{soak}      - id: flush\n"
    )
    lines = told(sheet)
    assert (not lines) is good
    assert all("leaves 30\u201340 °C in 4 min 58 s" in line for line in lines)


@pytest.mark.parametrize(("age", "good"), [("5 min", True), ("299 s", False)])
def test_a_soak_longer_than_its_bath_may_be_used_is_refused(
    full: str, age: str, good: bool
) -> None:
    soak = "      - {id: soak, say: Soak it., short: soak it, soak: {bath: foam, least: 5 min}}\n"
    sheet = exchanged(
        full,
        "most_age: 4 h",
        f"most_age: {age}",
        "      - id: flush\n",
        f"{soak}      - id: flush\n",
    )
    assert (not told(sheet)) is good


@pytest.mark.parametrize(
    ("line", "good"),
    [("volume: 1000 L", True), ("volume: 1000.1 L", False), ("volume: 0.001 mL", True)],
)
def test_a_volume_of_more_than_a_thousand_litres_is_a_slip(
    full: str, line: str, good: bool
) -> None:
    assert (not told(exchanged(full, "volume: 10 L", line))) is good
