"""Lines of working: rounded and marked so, and made of signs that have words."""

from __future__ import annotations

from decimal import Decimal

import pytest

from assistant.procedure.quantity import Window, parse
from assistant.speaking.wording import spoken
from assistant.trade.bath import basin_water, detergent, ratio, taught_water
from assistant.trade.cooling import fit, outlasts
from assistant.trade.delay import course
from assistant.trade.disinfectant import Disinfectant
from assistant.trade.disinfectant import judge as judge_contact
from assistant.trade.drying import judge as judge_drying
from assistant.trade.exposure import flush, judge_eyewash
from assistant.trade.leak import LeakTest
from assistant.trade.leak import judge as judge_leak
from assistant.trade.lumen import Brush, Lumen, channel_volume, misfits, passes_left, syringe_fills
from assistant.trade.mixing import Portion, Way, to_window
from assistant.trade.renewal import Bounds, Service, reasons_to_change
from assistant.trade.residue import Analyte, Meter, judge_light, most_found
from assistant.trade.residue import judge as judge_residue
from assistant.trade.water import ST108_2023, Grade, Property
from assistant.trade.water import judge as judge_water
from assistant.trade.worked import gives, shown

WINDOW = Window(parse("38 °C"), parse("43 °C"))
CHANNEL = Lumen(parse("8 Fr"), parse("24 in"))
COOLING = fit(parse("20 °C"), [(0, parse("43 °C")), (600, parse("41 °C"))])
OPA = Disinfectant("OPA 0.55 %", Window(parse("20 °C"), None), 720, parse("0.3 %"))
SAMPLES = [
    basin_water(parse("24 in"), parse("20 in"), parse("8 in")),
    taught_water(parse("2 L"), Decimal(9)),
    detergent(parse("20 L"), ratio("1:200"), parse("1 fl oz").unit),
    detergent(parse("20 L"), parse("0.5 %"), parse("1 mL").unit),
    to_window(Portion(parse("20 L"), parse("35 °C")), parse("60 °C"), WINDOW, Way.ADD),
    to_window(Portion(parse("20 L"), parse("50 °C")), parse("10 °C"), WINDOW, Way.REPLACE),
    COOLING,
    outlasts(COOLING.value, parse("43 °C"), WINDOW, 900),
    *reasons_to_change(
        Service(3600, 9, parse("50 °C"), visibly_soiled=True, chemical_carried_in=True),
        Bounds(WINDOW, 1800, 3),
    ),
    judge_water(ST108_2023, Grade.CRITICAL, Property.PH, parse("7.2 pH")),
    judge_residue(Analyte.PROTEIN, parse("100 µg"), parse("30 cm²")),
    most_found(Analyte.ATP, parse("30 cm²")),
    judge_light(Meter("invented meter", parse("200 RLU")), parse("180 RLU")),
    misfits(Brush(parse("9 Fr"), parse("60 cm")), CHANNEL, parse("3.5 mm")),
    passes_left(1, 3, last_came_out_clean=False),
    channel_volume(CHANNEL),
    syringe_fills(parse("110 mL"), parse("20 mL")),
    judge_leak(
        LeakTest(Window(parse("160 mmHg"), parse("180 mmHg")), 60, parse("5 mmHg")),
        parse("3.2 psi"),
        parse("22 kPa"),
        30,
    ),
    judge_contact(OPA, [(parse("19 °C"), 900)], parse("0.29 %"), 60),
    flush(60),
    judge_eyewash(parse("0.3 gal/min"), parse("50 °F"), 12),
    course(None, 1800),
    judge_drying(300, 600, parse("15 psi"), parse("20 psi")),
]


def test_a_rounded_figure_is_marked_as_rounded() -> None:
    assert gives(parse("75 L")) == "= 75 L"
    assert gives(parse("62.92630 L")) == "= 62.92630 L"
    assert gives(parse("62.926345 L")) == "≈ 62.9263 L"
    assert shown(parse("62.926345 L")) == "62.9263 L"
    assert shown(parse("1234567 mL")) == "1234570 mL"


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda sample: str(sample.steps[0]))
def test_every_line_of_working_can_be_spoken(sample: object) -> None:
    steps: tuple[str, ...] = getattr(sample, "steps")  # noqa: B009 - of any result
    assert steps
    for line in steps:
        assert spoken(line)
