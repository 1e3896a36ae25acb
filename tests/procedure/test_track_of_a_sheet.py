# ruff: noqa: E501 - the rows of a table read best on one line
from __future__ import annotations

import pytest
from sheet_reading import exchanged, read, steps, told

from assistant.procedure.model import Method, Role, Rounds, Treatment

LATE = """      - id: presoak
        say: Soak the late tube first.
        short: soak the late tube
        when: delayed
        water: standing rinse
        rinse: {least: 10 min}
"""


def test_a_part_keeps_what_the_sheet_states(full: str) -> None:
    tube, optic = read(full).parts
    assert (tube.name, tube.also, tube.count) == ("tube", ("outer tube",), 2)
    assert tube.adapters == ("valve cap", "side cap")
    assert tube.onward == "the packing table"
    assert (tube.treatment, optic.treatment) == (Treatment.PACKING, Treatment.DISINFECTION)
    assert optic.never == frozenset(Method)
    assert tube.role is optic.role is Role.PART


def test_a_round_begins_where_the_sheet_says_else_at_the_first_rinse(full: str) -> None:
    tube, optic = read(full).parts
    assert tube.rounds == Rounds("tube.brush", 3)
    assert optic.rounds == Rounds("optic.rinse", 2)
    unsaid = exchanged(full, "    clean_again: {start: brush, most: 3}\n", "")
    assert read(unsaid).component("tube").rounds == Rounds("tube.rinse", 2)


def test_a_round_never_begins_behind_what_sends_the_part_back(full: str) -> None:
    # Else a failed step would be passed over and never be done again.
    for start, good in [("presoak", True), ("rinse", True), ("brush", True), ("flush", False), ("swab", False), ("look", False)]:  # fmt: skip
        lines = told(exchanged(full, "start: brush", f"start: {start}"))
        assert (not lines) is good, lines
        assert all("can fail and would not be done again" in line for line in lines)


def test_a_round_begins_by_itself_no_later_than_what_can_fail(full: str) -> None:
    look = "      - {id: arrived, say: Look at it., short: look at it, inspect: {of: soil, magnification: 4x}}\n"
    sheet = exchanged(full, "    clean_again: {start: brush, most: 3}\n", "", LATE, look)
    assert read(sheet).component("tube").rounds == Rounds("tube.arrived", 2)


def test_a_round_that_begins_with_several_steps_begins_with_the_first(full: str) -> None:
    assert read(exchanged(full, "start: brush", "start: leak")).component("tube").rounds == Rounds(
        "tube.leak-pressure", 3
    )


def test_leaks_and_lost_functions_are_not_made_good_by_cleaning(full: str) -> None:
    # They stand before the brush here and keep no round from beginning behind them.
    light = "      - {id: lamp, say: Measure it., short: test it, test: {of: light, limit: {least: 80 %}}}\n"
    assert not told(exchanged(full, LATE, light))


@pytest.mark.parametrize("made", ["leak-pressure", "leak-hold", "final-pressure", "hand-on"])
def test_the_id_of_a_step_that_is_made_is_refused(full: str, made: str) -> None:
    (line,) = told(exchanged(full, "id: look\n", f"id: {made}\n"))
    assert f'"tube.{made}" is a step that is made for this part already' in line


def test_a_part_that_is_handed_on_to_nothing_among_others_is_told(full: str) -> None:
    (line,) = told(exchanged(full, "    treatment: disinfection\n", ""))
    assert 'the optic has no "treatment"' in line
    neither = exchanged(full, "    treatment: disinfection\n", "", "    treatment: packing\n", "")
    assert not told(neither)
    assert "tube.hand-on" not in steps(neither)


@pytest.mark.parametrize(
    ("old", "new", "what"),
    [
        ("lumen: side,", "lumen: main,", 'no step brushes or flushes the lumen "side"'),
        ("lumen: side,", "lumen: sied,", 'did you mean "side"?'),
        ("id: side,", "id: main,", 'the id of a lumen "main" stands on line'),
        ("name: side lumen", "name: main lumen", 'the name of a lumen "main lumen" stands on line'),
    ],
)
def test_every_lumen_is_one_of_its_own_and_is_cleaned(
    full: str, old: str, new: str, what: str
) -> None:
    assert any(what in line for line in told(exchanged(full, old, new)))


def test_a_mistake_is_told_without_what_only_follows_from_it(full: str) -> None:
    # "side" is cleaned by nothing and "foam" used by nothing only while these stand.
    (line,) = told(exchanged(full, "lumen: side,", "lumen: sied,"))
    assert "sied" in line
    (line,) = told(exchanged(full, "bath: foam", "bath: faom"))
    assert "faom" in line


def test_a_part_waits_for_the_intake_up_to_its_first_step_that_is_always_done(full: str) -> None:
    found = steps(full)
    assert found["tube.presoak"].needs == ("intake.count",)
    assert found["tube.leak-pressure"].needs == ("intake.count",)
    assert found["tube.leak-hold"].needs == ()
    assert found["tube.rinse"].needs == ()


def test_whatever_uses_a_bath_waits_for_its_temperature_and_names_no_step_of_it(full: str) -> None:
    found = steps(full)
    assert found["tube.brush"].needs == ("foam.temperature",)
    assert found["optic.wipe"].needs == ("acid.temperature",)
    for need in ("foam.temperature", "foam.dose", "intake.count"):
        (line,) = told(exchanged(full, "needs: [tube.swab]", f"needs: [{need}]"))
        assert "is waited for without being named" in line
