from __future__ import annotations

import pytest
from sheet_reading import exchanged, steps, told

from assistant.procedure.model import (
    Dwell,
    DwellKind,
    LeakJudge,
    ReadingTask,
    TestTask,
    When,
)
from assistant.procedure.quantity import Unit, Window, parse
from assistant.procedure.water_use import Purpose, Use, Water
from assistant.trade.leak import LeakTest

WINDOW = Window(parse("150 mmHg"), parse("170 mmHg"))


def test_a_leak_test_is_pumped_up_held_and_read_again(full: str) -> None:
    found = steps(full)
    start, held, end = (found[f"tube.leak{name}"] for name in ("-pressure", "-hold", ""))
    assert [step for step in found if step.startswith("tube.leak")] == [start.id, held.id, end.id]
    assert start.task == ReadingTask("test pressure", WINDOW)
    assert held.task == Dwell(DwellKind.HOLD, 30)
    assert end.task == TestTask(
        "pressure after the hold",
        Unit.MILLIMETRE_OF_MERCURY,
        LeakJudge(LeakTest(WINDOW, 30, parse("5 mmHg")), start.id, held.id),
    )
    assert [step.mandatory for step in (start, held, end)] == [True] * 3
    assert start.say == "Attach the leak tester. Pump up to 150\u2013170 mmHg."
    assert held.say == "Close the valve, and watch the gauge for 30 s."
    assert end.say == "Read the gauge again."


def test_the_cautions_of_a_leak_test_are_heard_before_it_is_pumped_up(full: str) -> None:
    found = steps(full)
    assert [c.text for c in found["tube.leak-pressure"].cautions] == ["Vent it before you let go."]
    assert not found["tube.leak-hold"].cautions
    assert not found["tube.leak"].cautions


def test_a_leak_test_waits_and_applies_as_a_whole(full: str) -> None:
    leak = "        cautions: [Vent it before you let go.]\n"
    found = steps(exchanged(full, leak, "        needs: [optic.rinse]\n        when: delayed\n"))
    assert "optic.rinse" in found["tube.leak-pressure"].needs
    assert "optic.rinse" not in found["tube.leak-hold"].needs + found["tube.leak"].needs
    for name in ("leak-pressure", "leak-hold", "leak"):
        assert found[f"tube.{name}"].when is When.DELAYED


def test_a_leak_test_under_water_is_pumped_up_before_it_is_laid_in(full: str) -> None:
    moved = exchanged(
        full,
        "        leak_test: {least: 150 mmHg, most: 170 mmHg, hold: 30 s, most_drop: 5 mmHg}\n",
        "",
        "        test: {of: swab, light: {meter: demo meter, below: 200 RLU}}\n",
        "        bath: foam\n        leak_test: {least: 150 mmHg, hold: 30 s, most_drop: 5 mmHg}\n",
    )
    found = steps(moved)
    assert found["tube.swab-pressure"].bath == ""
    for name in ("tube.swab-hold", "tube.swab"):
        assert found[name].bath == "foam"
        assert found[name].use == Use(Purpose.BATH, "foam")
        assert "foam.temperature" in found[name].needs


def test_pressure_is_set_before_the_time_under_it(full: str) -> None:
    found = steps(full)
    before, rinse = found["tube.final-pressure"], found["tube.final"]
    assert list(found).index(before.id) + 1 == list(found).index(rinse.id)
    assert before.task == ReadingTask("pressure", Window(None, parse("20 psi")))
    assert before.say == "Set the pressure. It must be at most 20 psi."
    assert before.short == "read the pressure: rinse the tube again"
    assert before.mandatory
    assert rinse.task == Dwell(DwellKind.RINSE, 60)


@pytest.mark.parametrize("key", ["rinse", "dry"])
def test_a_step_under_pressure_waits_and_applies_as_a_whole(full: str, key: str) -> None:
    found = steps(
        exchanged(
            full,
            "        water: final rinse\n        rinse: {least: 1 min, pressure: 20 psi}\n",
            f"        needs: [optic.rinse]\n        when: delayed\n        {key}: "
            "{least: 1 min, pressure: 20 psi}\n",
        )
    )
    assert found["tube.final-pressure"].needs == ("optic.rinse",)
    assert found["tube.final"].needs == ()
    assert found["tube.final-pressure"].when is found["tube.final"].when is When.DELAYED


def test_every_use_of_water_is_read(full: str) -> None:
    found = steps(full)
    assert found["tube.presoak"].use == Use(Purpose.RINSE, standing=True)
    assert found["tube.rinse"].use == Use(Purpose.FIRST_RINSE, standing=True)
    assert found["tube.brush"].use == Use(Purpose.BATH, "foam")
    assert found["tube.final"].use == Use(Purpose.FINAL_RINSE)
    assert found["tube.flush"].use is None
    assert found["optic.rinse"].use == Use(Purpose.FIRST_RINSE)
    assert found["optic.wipe"].use is None
    # Common practice, no source: the last rinse is done with treated water.
    assert Purpose.FINAL_RINSE.water is Water.TREATED
    assert Purpose.RINSE.water is Water.UTILITY


def test_a_wipe_meets_the_detergent_but_lies_in_no_bath(full: str) -> None:
    step = steps(full)["optic.wipe"]  # a part that is never submerged
    assert step.bath == "acid"
    assert step.say == "Wipe the optic with 25 mL in 5 L of water."
    assert any("200 parts of water" in line for line in step.working)


def test_a_first_rinse_is_mandatory_whatever_the_sheet_says(full: str) -> None:
    found = steps(full)
    assert found["tube.rinse"].first_rinse
    assert found["tube.rinse"].mandatory
    assert not found["tube.presoak"].mandatory


@pytest.mark.parametrize(
    ("task", "good"),
    [
        ("rinse: {least: 1 min}", True),
        ("flush: {lumen: main, volume: 60 mL, syringe: 20 mL}", True),
        ('question: {ask: "Is the water clear?", if_not: Rinse on.}', True),
        ("dry: {least: 1 min}", False),
        ("lot: {of: tray lot}", False),
        ("reading: {of: water, most: 40 °C}", False),
        ("inspect: {of: soil, magnification: 10x}", False),
    ],
)
def test_only_what_rinses_is_a_first_rinse(full: str, task: str, good: bool) -> None:
    # Common practice, no source: a cool rinse takes off what detergent would set.
    sheet = exchanged(
        full,
        "        water: standing first rinse\n        rinse: {least: 1 min}\n",
        f"        {task}\n",
    )
    assert (not told(sheet)) is good


@pytest.mark.parametrize("text", ["rinse", "final rinse", "standing rinse"])
def test_a_first_rinse_takes_no_other_water(full: str, text: str) -> None:
    (line,) = told(exchanged(full, "water: standing first rinse", f"water: {text}"))
    assert f'"water" says "{text}"' in line


def test_standing_water_submerges(full: str) -> None:
    wet = "        first_rinse: yes\n        water: standing first rinse\n"
    sheet = exchanged(
        full, "short: wipe the optic\n        first_rinse: yes\n", f"short: wipe it\n{wet}"
    )
    (line,) = told(sheet)
    assert "would submerge the optic" in line


def test_a_brush_needs_no_bath_where_standing_water_covers_it(full: str) -> None:
    sheet = exchanged(full, "        bath: foam\n", "        water: standing rinse\n")
    assert told(sheet) == [line for line in told(sheet) if "the bath" in line]
    sheet = exchanged(full, "        bath: foam\n", "")
    assert any("brushes above the surface" in line for line in told(sheet))


@pytest.mark.parametrize("key", ["rinse", "dry"])
def test_what_rinses_or_dries_lies_in_no_detergent(full: str, key: str) -> None:
    sheet = exchanged(
        full, "        water: final rinse\n        rinse:", f"        bath: foam\n        {key}:"
    )
    (line,) = told(sheet)
    assert "is not done in a detergent bath" in line


def test_a_step_for_late_devices_needs_an_arrival_that_finds_them(full: str) -> None:
    assert steps(full)["tube.presoak"].when is When.DELAYED
    arrival = "arrival: {within: 60 min, delayed: Soak it longer.}\n"
    (line,) = told(exchanged(full, arrival, ""))
    assert '"tube.presoak" would never be done' in line


def test_figures_of_a_question_are_filled_and_their_mistakes_told_at_it(full: str) -> None:
    ask = '        question: {ask: "Did it lie in {dose}?", if_not: "Add {dose}."}\n'
    sheet = exchanged(full, "        wipe: acid\n", f"        wipe: acid\n{ask}")
    task = steps(sheet)["optic.wipe"].task
    assert (task.text, task.if_not) == ("Did it lie in 25 mL?", "Add 25 mL.")
    (line,) = told(sheet.replace("Add {dose}", "Add {dos}"))
    assert 'in "if_not": "{dos}" is no placeholder; did you mean "dose"?' in line
