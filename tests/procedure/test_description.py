from __future__ import annotations

from assistant.procedure.description import describe
from assistant.procedure.sheet import parse


def test_a_description_shows_every_figure_and_all_that_will_be_said(small: str) -> None:
    procedure = parse(small.encode(), "x.yaml")
    text = describe(procedure)
    for part in [
        "small set (small-set, revision 1.10)",
        "Invented values, for tests.",
        "warm bath: 75 L of water, 1 fl oz/gal of test detergent = 19.8 fl oz, 32\u201343 °C",
        'tube, called "tube" or "outer tube"',
        'rod, 2 pieces, called "rod"',
        "Caution: Sharp tips.",
        "intake.opening: put on the protective equipment, mandatory",
        "soak in warm: at least 90 s, at most 10 min",
        "dry: at least 1 min",
        "reading: warm bath temperature, 32\u201343 °C",
        "lot: tray lot, 2 to 16 signs",
        "question: Are they clean?",
        "if not: Clean them again.",
        "after: warm.temperature, tube.measure",
        "onward: the clean side",
    ]:
        assert part in text
    for component in procedure.components:
        for step in component.steps:
            assert step.say in text


def test_a_description_shows_who_approved_it_what_goes_through_lumens_and_all_limits(
    full: str,
) -> None:
    text = describe(parse(full.encode(), "x.yaml"))
    for part in [
        "also called demo scope",
        "codes: gtin:09521234543213, hibc:A999ABC123DE",
        "approved by demo lead from 2026-01-05 until 2027-01-05",
        "for at most 4 h, for at most 6 parts, cools by 0.008 per min towards 21 °C",
        "0.5 % of demo foam = 1.7 fl oz",
        "1:200 of demo acid = 25 mL",
        "adapters, which stay with it: valve cap, side cap",
        "never: brush, pressure, submerge",
        "cleaned again from tube.brush, in 3 rounds",
        "tube.presoak: soak the late tube, only when delayed",
        "tube.rinse: rinse the tube, mandatory, first rinse",
        "tube.brush: brush the tube, with foam",
        "brush passes through the main lumen: at least 3, at most 8",
        "brush 6 mm wide, lumen 5 mm; brush reaching 35 cm, lumen 30 cm long",
        "syringe fills through the side lumen: at least 3",
        "50 mL in fills of 20 mL",
        "hold: at least 30 s",
        "lost at most 5 mmHg in 30 s",
        "below 200 RLU on demo meter",
        "protein on 50 cm² below 6.4 µg/cm²",
        "conductivity of critical water",
        "inspection: soil and damage, magnified 10x",
        "to disinfection, clean again, hold or repair",
    ]:
        assert part in text


def test_a_sheet_that_nobody_approved_says_so(small: str) -> None:
    assert "approved by nobody" in describe(parse(small.encode(), "x.yaml"))
