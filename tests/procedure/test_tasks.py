# ruff: noqa: E501 - the rows of a table read best on one line
from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sheet_reading import exchanged, read, steps, told

from assistant.procedure.model import (
    Act,
    Dwell,
    DwellKind,
    HandOnTask,
    InspectionTask,
    LightJudge,
    LimitJudge,
    LotTask,
    Method,
    Question,
    ReadingTask,
    ResidueJudge,
    TallyKind,
    TallyTask,
    TestTask,
    Treatment,
    WaterJudge,
)
from assistant.procedure.quantity import Unit, Window, parse
from assistant.trade.lumen import Brush, Lumen, syringe_fills
from assistant.trade.residue import Analyte, Meter
from assistant.trade.water import Grade, Property

LIGHT = "light: {meter: demo meter, below: 200 RLU}"
SYRINGES = ["1 mL", "2.5 mL", "10 mL", "20 mL", "60 mL"]


def test_each_key_makes_its_task(small: str) -> None:
    tasks = {step.id: step.task for step in steps(small).values()}
    assert tasks["tube.fill"] == Act()
    assert tasks["tube.measure"] == ReadingTask(
        "air pressure", Window(parse("1 psi"), parse("20 psi"))
    )
    assert tasks["tube.soak"] == Dwell(DwellKind.SOAK, 90, 600, "warm")
    assert tasks["tube.dry"] == Dwell(DwellKind.DRY, 60)
    assert tasks["rod.inspect"] == Question("Are they clean?", "Clean them again.")
    assert tasks["rod.hand-over"] == LotTask("tray lot")


def test_brush_passes_keep_the_brush_its_lumen_and_how_they_fit(full: str) -> None:
    step = steps(full)["tube.brush"]
    assert step.task == TallyTask(
        TallyKind.PASS,
        least=3,
        most=8,
        lumen="main lumen",
        brush=(
            Brush(parse("6 mm"), parse("35 cm")),
            Lumen(parse("5 mm"), parse("30 cm")),
        ),
    )
    assert step.say == "Brush the main lumen 3 times."
    assert step.working == (
        "brush 6 mm against lumen 5 mm",
        "brush at most 7 mm",
        "reach 35 cm = 350 mm against channel 30 cm = 300 mm",
    )


# Catheter sizes: 3 Fr to the millimetre (definition, from memory); 1 in = 25.4 mm
# (NIST Handbook 44, Appendix C).  A brush of the lumen's own width touches the wall.
@pytest.mark.parametrize(
    ("diameter", "reach", "misfit"),
    [
        ("5 mm", "30 cm", ""),
        ("15 Fr", "12 in", ""),
        ("14 Fr", "30 cm", "do not touch the wall"),
        ("4.9 mm", "30 cm", "do not touch the wall"),
        ("7 mm", "30 cm", ""),
        ("7.1 mm", "30 cm", "thicker than the procedure allows"),
        ("6 mm", "29.9 cm", "do not come out at the far opening"),
        ("6 mm", "11 in", "do not come out at the far opening"),
    ],
)
def test_a_brush_is_held_against_its_lumen(
    full: str, diameter: str, reach: str, misfit: str
) -> None:
    sheet = exchanged(full, "diameter: 6 mm, reach: 35 cm", f"diameter: {diameter}, reach: {reach}")
    lines = told(sheet)
    assert bool(lines) is bool(misfit)
    assert all(misfit in line for line in lines)


def test_a_brush_that_is_wrong_in_two_ways_is_told_at_both_figures(full: str) -> None:
    sheet = exchanged(full, "diameter: 6 mm, reach: 35 cm", "diameter: 4 mm, reach: 25 cm")
    assert ["touch the wall" in line for line in told(sheet)] == [True, False]


def test_a_flush_is_counted_in_fills_of_its_syringe(full: str) -> None:
    step = steps(full)["tube.flush"]
    assert step.task == TallyTask(
        TallyKind.FILL,
        least=3,
        lumen="side lumen",
        volume=parse("50 mL"),
        syringe=parse("20 mL"),
    )
    assert step.say == "Flush 50 mL in 3 fills of 20 mL."
    assert step.working == ("50 mL ÷ 20 mL a fill: 3 fills, the last one at least 10 mL",)


@given(volume=st.integers(1, 500), syringe=st.sampled_from(SYRINGES))
def test_fills_bring_the_volume_and_one_fewer_would_not(volume: int, syringe: str) -> None:
    fills = syringe_fills(parse(f"{volume} mL"), parse(syringe)).value
    one = parse(syringe).base
    assert (fills - 1) * one < Fraction(volume) <= fills * one


def test_each_way_to_judge_a_test_is_read(full: str) -> None:
    found = steps(full)
    assert found["tube.swab"].task == TestTask(
        "swab", Unit.RELATIVE_LIGHT_UNIT, LightJudge(Meter("demo meter", parse("200 RLU")))
    )
    assert found["tube.protein"].task == TestTask(
        "sample", Unit.MICROGRAM, ResidueJudge(Analyte.PROTEIN, parse("50 cm²"))
    )
    assert found["optic.water"].task == TestTask(
        "rinse water",
        Unit.MICROSIEMENS_PER_CENTIMETRE,
        WaterJudge(Grade.CRITICAL, Property.CONDUCTIVITY),
    )
    assert found["optic.light"].task == TestTask(
        "light", Unit.PERCENT, LimitJudge(Window(parse("80 %"), None))
    )


@pytest.mark.parametrize(("analyte", "unit"), [(a, Unit.MICROGRAM) for a in Analyte if a is not Analyte.ATP] + [(Analyte.ATP, Unit.FEMTOMOLE)])  # fmt: skip
def test_a_residue_is_entered_as_what_the_whole_sample_holds(
    full: str, analyte: Analyte, unit: Unit
) -> None:
    # ISO 15883-5:2021 states ATP in fmol/cm² and the others in µg/cm².
    task = steps(exchanged(full, "analyte: protein", f"analyte: {analyte}"))["tube.protein"].task
    assert isinstance(task, TestTask)
    assert task.unit is unit


@pytest.mark.parametrize("of", Property)
@pytest.mark.parametrize("grade", Grade)
def test_every_property_of_every_water_can_be_tested(full: str, of: Property, grade: Grade) -> None:
    sheet = exchanged(
        full, "grade: critical, property: conductivity", f"grade: {grade}, property: {of}"
    )
    task = steps(sheet)["optic.water"].task
    assert isinstance(task, TestTask)
    assert task.judge == WaterJudge(grade, of)


def test_an_inspection_and_a_handing_on_are_read(full: str) -> None:
    found = steps(full)
    assert found["tube.look"].task == InspectionTask("soil and damage", "10x")
    assert found["tube.hand-on"].task == HandOnTask(Treatment.PACKING)
    assert found["optic.hand-on"].task == HandOnTask(Treatment.DISINFECTION)


@pytest.mark.parametrize(("text", "good"), [("10x", True), ("2.5x", True), ("0x", False), ("x10", False), ("10", False)])  # fmt: skip
def test_a_magnification_is_a_number_of_times(full: str, text: str, good: bool) -> None:
    sheet = exchanged(full, "magnification: 10x", f"magnification: {text}")
    assert (not told(sheet)) is good


# What is measured in pressure is put on by somebody (common practice, no source: optics
# are never put under pressure).
@pytest.mark.parametrize(
    ("task", "pressed"),
    [
        ("reading: {of: air pressure, most: 20 psi}", True),
        ("reading: {of: water temperature, most: 40 °C}", False),
        ("rinse: {least: 1 min, pressure: 20 psi}", True),
        ("rinse: {least: 1 min}", False),
        ("dry: {least: 1 min, pressure: 140 kPa}", True),
        ("dry: {least: 1 min}", False),
        ("test: {of: valve, limit: {least: 20 kPa}}", True),
        ("test: {of: valve, limit: {least: 20 %}}", False),
        ("leak_test: {least: 150 mmHg, hold: 30 s, most_drop: 5 mmHg}", True),
    ],
)
def test_whatever_puts_pressure_on_is_refused_for_a_part_that_does_not_bear_it(
    full: str, task: str, pressed: bool
) -> None:
    lines = told(exchanged(full, "test: {of: light, limit: {least: 80 %}}", task))
    assert len(lines) == pressed
    assert all("would put pressure on the optic" in line for line in lines)


@pytest.mark.parametrize(
    ("window", "good"),
    [
        ("least: 999.999 psi", True),
        ("least: 1000 psi", False),
        ("most: 5000 psi", True),
        ("least: -1 psi", False),
        ("most: -5 °C", False),
        ("least: -5 °C, most: 8 °C", True),
    ],
)
def test_a_window_has_values_that_can_be_said(small: str, window: str, good: bool) -> None:
    # Spoken numbers go from 0 to 999 with three decimals (grammars/en/numbers.jsgf).
    sheet = exchanged(small, "least: 1 psi, most: 20 psi", window)
    assert (not told(sheet)) is good


@pytest.mark.parametrize(("least", "good"), [("5 mmHg", False), ("0.67 kPa", True), ("6 mmHg", True)])  # fmt: skip
def test_a_leak_test_can_fail(full: str, least: str, good: bool) -> None:
    # 5 mmHg are 0.6666 kPa (conventional millimetre of mercury, 133.322 Pa).
    most = "" if "kPa" in least else ", most: 170 mmHg"
    sheet = exchanged(full, "least: 150 mmHg, most: 170 mmHg", f"least: {least}{most}")
    assert (not told(sheet)) is good


def test_a_part_that_is_never_brushed_is_refused_its_brush(full: str) -> None:
    sheet = exchanged(full, "    adapters:", "    never: [brush]\n    adapters:")
    (line,) = told(sheet)
    assert "would brush the tube" in line
    assert read(full).component("optic").never == frozenset(Method)
