"""The limits of a step in few words."""

from dataclasses import replace
from pathlib import Path

import pytest

from assistant.printing.fact import facts
from assistant.printing.words import words
from assistant.procedure import sheet
from assistant.procedure.model import (
    Dwell,
    DwellKind,
    ElapsedTask,
    InspectionTask,
    LeakJudge,
    LightJudge,
    LimitJudge,
    LotTask,
    ReadingTask,
    ResidueJudge,
    Step,
    TallyKind,
    TallyTask,
    TestTask,
    WaterJudge,
)
from assistant.procedure.quantity import Unit, Window, parse
from assistant.trade.leak import LeakTest
from assistant.trade.lumen import Brush, Lumen
from assistant.trade.residue import Analyte, Meter
from assistant.trade.water import Below, Grade, Property, Row, Standing, WaterTable

PAIR = Path(__file__).parent / "sheets" / "pair.yaml"
PROCEDURE = sheet.parse(PAIR.read_bytes(), str(PAIR))
WARM = Window(parse("30 °C"), parse("40 °C"))
PRESSED = Window(parse("150 mmHg"), parse("160 mmHg"))
BRUSH = (Brush(parse("3 mm"), parse("40 cm")), Lumen(parse("2.8 mm"), parse("35 cm")))
TABLE = WaterTable(
    "invented table",
    Standing.FACILITY,
    (Row(Grade.CRITICAL, Property.CONDUCTIVITY, Below(parse("10 µS/cm"))),),
)


def stated(task, say="Do it."):
    step = Step("tube.do", say, "do it", task=task)
    return list(facts(PROCEDURE, step, words("en")))


@pytest.mark.parametrize(
    ("task", "expected"),
    [
        (Dwell(DwellKind.SOAK, 300, 900), ["Soak 5 min to 15 min"]),
        (Dwell(DwellKind.RINSE, 60), ["Rinse 1 min or longer"]),
        (ReadingTask("bath temperature", WARM), [f"bath temperature: {WARM}"]),
        (ElapsedTask("time since use", 3600), ["at most 1 h"]),
        (LotTask("lot"), []),
        (
            TallyTask(TallyKind.PASS, 3, 10, "main lumen", brush=BRUSH),
            [
                ("main lumen: 3 passes or more, until clean; at most 10"),
                "brush 3 mm thick, 40 cm long",
            ],
        ),
        (
            TallyTask(
                TallyKind.FILL, 6, None, "main", volume=parse("120 mL"), syringe=parse("20 mL")
            ),
            ["main: 6 fills of 20 mL for 120 mL"],
        ),
        (InspectionTask("soil", "10x"), ["magnified 10x"]),
    ],
)
def test_a_task_states_its_limits(task, expected):
    assert stated(task) == expected


@pytest.mark.parametrize(
    ("judge", "limit"),
    [
        (
            LeakJudge(LeakTest(PRESSED, 30, parse("2 mmHg")), "a", "b"),
            "lost at most 2 mmHg in 30 s",
        ),
        (LightJudge(Meter("invented meter", parse("200 RLU"))), "less than 200 RLU on invented"),
        # ISO 15883-5:2021 (secondary copy), as in check-values: the action level of protein.
        (ResidueJudge(Analyte.PROTEIN, parse("50 cm²")), "on 50 cm²: clean again from 6.4 µg/cm²"),
        (
            WaterJudge(Grade.CRITICAL, Property.CONDUCTIVITY, TABLE),
            "value: less than 10 µS/cm, critical water",
        ),
        (
            WaterJudge(Grade.CRITICAL, Property.HARDNESS, TABLE),
            "value: by the facility's table, critical water",
        ),
        (WaterJudge(Grade.UTILITY, Property.PH), "by the facility's table"),
        (LimitJudge(WARM), str(WARM)),
    ],
)
def test_a_test_states_what_passes(judge, limit):
    (text,) = stated(TestTask("value", Unit.CELSIUS, judge))
    assert text.startswith("value: ")
    assert limit in text


def test_what_the_instruction_says_itself_is_not_said_twice():
    assert stated(Dwell(DwellKind.HOLD, 30), "Watch the gauge for 30 s.") == []
    assert stated(ReadingTask("temperature", WARM), f"It must be {WARM}.") == []
    assert stated(Dwell(DwellKind.SOAK, 300, 900), "Soak it for 5 min.") == ["at most 15 min"]
    assert stated(Dwell(DwellKind.SOAK, 300, 900), "Soak it 5 min to 15 min.") == []


def test_the_bath_is_named_where_there_are_two():
    (bath,) = PROCEDURE.baths
    two = replace(PROCEDURE, baths=(bath, replace(bath, id="cold", name="cold bath")))
    step = Step("tube.soak", "Soak it.", "soak", task=Dwell(DwellKind.SOAK, 60, None, "cold"))
    assert list(facts(two, step, words("en"))) == ["Soak 1 min or longer in the cold bath"]
