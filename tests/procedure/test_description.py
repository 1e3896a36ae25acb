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
