# ruff: noqa: E501 - the rows of a table read best on one line
from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from policies import HEAD, MANY, ORIGIN, POLICY, SHEET, WHO, change, lay, refused, sheet_line

from assistant.procedure import policy, sheet
from assistant.procedure.finding import SheetError
from assistant.procedure.quantity import Window, parse
from assistant.procedure.source import sources

if TYPE_CHECKING:
    from assistant.procedure.model import Procedure, Step

DASH = "\u2013"
TOP = Path(__file__).parents[2]


def step(procedure: Procedure, wanted: str) -> Step:
    (found,) = (s for c in procedure.components for s in c.steps if s.id == wanted)
    return found


# Each row: a change, the step or bath where it is to be found, how, and what it must be.
TIGHTER = [
    (["step: tube.soak", "soak: {least: 8 min}"], lambda p: step(p, "tube.soak").task.least_s, 480),
    (["step: tube.soak", "soak: {most: 12 min}"], lambda p: step(p, "tube.soak").task.most_s, 720),
    (["step: tube.rinse", "rinse: {least: 90 s}"], lambda p: step(p, "tube.rinse").task.least_s, 90),
    (["step: tube.rinse", "rinse: {most: 5 min}"], lambda p: step(p, "tube.rinse").task.most_s, 300),
    (["step: tube.dry", "dry: {least: 3 min}"], lambda p: step(p, "tube.dry").task.least_s, 180),
    (["step: tube.dry", "dry: {pressure: 15 psi}"], lambda p: step(p, "tube.dry-pressure").task.window, Window(None, parse("15 psi"))),
    (["step: rod.air", "reading: {least: 6 psi, most: 18 psi}"], lambda p: step(p, "rod.air").task.window, Window(parse("6 psi"), parse("18 psi"))),
    # 40 kPa is 5.80 psi, 120 kPa is 17.4 psi (1 psi = 6.894757 kPa, NIST SP 811).
    (["step: rod.air", "reading: {least: 40 kPa, most: 120 kPa}"], lambda p: step(p, "rod.air").task.window, Window(parse("40 kPa"), parse("120 kPa"))),
    (["step: tube.brush", "brush: {passes: 5}"], lambda p: step(p, "tube.brush").task.least, 5),
    (["step: tube.brush", "brush: {most_passes: 8}"], lambda p: step(p, "tube.brush").task.most, 8),
    # 100 mL in fills of 20 mL are 5.
    (["step: tube.flush", "flush: {volume: 100 mL}"], lambda p: step(p, "tube.flush").task.least, 5),
    (["step: tube.leak", "leak_test: {hold: 60 s}"], lambda p: step(p, "tube.leak").task.judge.test.least_s, 60),
    (["step: tube.leak", "leak_test: {hold: 60 s}"], lambda p: step(p, "tube.leak-hold").task.least_s, 60),
    (["step: tube.leak", "leak_test: {most_drop: 3 mmHg}"], lambda p: step(p, "tube.leak").task.judge.test.most_drop, parse("3 mmHg")),
    (["step: tube.leak", "leak_test: {least: 155 mmHg}"], lambda p: step(p, "tube.leak-pressure").task.window.least, parse("155 mmHg")),
    (["step: tube.leak", "leak_test: {most: 165 mmHg}"], lambda p: step(p, "tube.leak").task.judge.test.pressure.most, parse("165 mmHg")),
    (["step: tube.swab", "test: {light: {below: 150 RLU}}"], lambda p: step(p, "tube.swab").task.judge.meter.below, parse("150 RLU")),
    (["step: tube.light", "test: {limit: {least: 85 %}}"], lambda p: step(p, "tube.light").task.judge.window.least, parse("85 %")),
    (["step: tube.brush", "mandatory: yes"], lambda p: step(p, "tube.brush").mandatory, True),
    (["bath: warm", "temperature: {least: 32 °C}"], lambda p: p.bath("warm").temperature, Window(parse("32 °C"), parse("40 °C"))),
    # 90 °F is 32.2 °C, 100 °F is 37.8 °C (NIST Handbook 44, Appendix C).
    (["bath: warm", "temperature: {least: 90 °F, most: 100 °F}"], lambda p: p.bath("warm").temperature, Window(parse("90 °F"), parse("100 °F"))),
    (["bath: warm", "most_age: 2 h"], lambda p: p.bath("warm").most_age_s, 7200),
    (["bath: warm", "most_uses: 4"], lambda p: p.bath("warm").most_uses, 4),
    (["arrival: {within: 45 min}"], lambda p: step(p, "intake.elapsed").task.most_s, 2700),
    (["approval: {until: 2026-06-30}"], lambda p: p.approval.until, date(2026, 6, 30)),
    (["component: tube", "clean_again: {most: 2}"], lambda p: p.component("tube").rounds.most, 2),
    # Without clean_again there are two rounds, our own choice in ``track``.
    (["component: rod", "clean_again: {most: 1}"], lambda p: p.component("rod").rounds.most, 1),
]  # fmt: skip


@pytest.mark.parametrize(("lines", "found", "wanted"), TIGHTER, ids=lambda row: str(row)[:60])
def test_a_limit_is_tightened(lines, found, wanted):
    assert found(lay(change(*lines)).procedure) == wanted
    assert found(lay(change("hazards: [Hot.]")).procedure) != wanted


def test_a_limit_may_be_stated_as_the_sheet_states_it():
    done = lay(
        change("step: tube.soak", "soak: {least: 5 min, most: 15 min}"),
        change("step: tube.leak", "leak_test: {least: 150 mmHg, most: 170 mmHg, hold: 30 s}"),
        change("step: tube.swab", "test: {light: {below: 200 RLU}}"),
        change("step: tube.light", "mandatory: yes"),
        change("bath: warm", "temperature: {least: 30 °C, most: 40 °C}", "most_age: 240 min"),
        change("component: rod", "clean_again: {most: 2}"),
        change("approval: {until: 2027-01-05}"),
    )
    assert done.procedure == done.plain


# Each row: a change, the text at which it is refused, the sheet's line, and what to write.
LOOSER = [
    (["step: tube.soak", "soak: {least: 4 min}"], "4 min", "soak: {bath", "write 5 min or more"),
    (["step: tube.soak", "soak: {most: 20 min}"], "20 min", "soak: {bath", "write 15 min or less"),
    (["step: tube.rinse", "rinse: {least: 59 s}"], "59 s", "rinse: {least", "1 min or more"),
    (["step: tube.dry", "dry: {least: 1 min}"], "1 min", "dry: {least", "2 min or more"),
    (["step: tube.dry", "dry: {pressure: 25 psi}"], "25 psi", "dry: {least", "20 psi or less"),
    (["step: rod.air", "reading: {least: 4 psi}"], "4 psi", "reading: {of", "5 psi or more"),
    (["step: rod.air", "reading: {most: 21 psi}"], "21 psi", "reading: {of", "20 psi or less"),
    (["step: rod.air", "reading: {least: 6 psi, most: 30 psi}"], "30 psi", "reading: {of", "20 psi or less"),
    # 138 kPa is 20.02 psi (1 psi = 6.894757 kPa, NIST SP 811).
    (["step: rod.air", "reading: {least: 40 kPa, most: 138 kPa}"], "138 kPa", "reading: {of", "20 psi or less"),
    (["step: rod.air", "reading: {least: 6 °C, most: 7 °C}"], "6 °C", "reading: {of", "in the unit of 5 psi"),
    (["step: tube.brush", "brush: {passes: 2}"], "2}", "brush: {lumen", "3 or more"),
    (["step: tube.brush", "brush: {most_passes: 11}"], "11", "brush: {lumen", "10 or less"),
    # Ten soiled passes end it where nothing is stated: twelve to begin with would move that.
    (["step: tube.brush", "brush: {passes: 12}"], "12", "brush: {lumen", "10 or less"),
    (["step: tube.flush", "flush: {volume: 50 mL}"], "50 mL", "flush: {lumen", "60 mL or more"),
    (["step: tube.leak", "leak_test: {hold: 20 s}"], "20 s", "leak_test:", "30 s or more"),
    (["step: tube.leak", "leak_test: {most_drop: 6 mmHg}"], "6 mmHg", "leak_test:", "5 mmHg or less"),
    (["step: tube.leak", "leak_test: {least: 140 mmHg}"], "140", "leak_test:", "150 mmHg or more"),
    (["step: tube.leak", "leak_test: {most: 180 mmHg}"], "180", "leak_test:", "170 mmHg or less"),
    (["step: tube.swab", "test: {light: {below: 201 RLU}}"], "201", "test: {of: swab", "200 RLU or less"),
    (["step: tube.light", "test: {limit: {least: 79 %}}"], "79 %", "test: {of: light", "80 % or more"),
    (["step: tube.light", "mandatory: no"], "no", "mandatory: yes", "mandatory: yes"),
    (["bath: warm", "temperature: {least: 29 °C}"], "29", "temperature:", "30 °C or more"),
    (["bath: warm", "temperature: {most: 41 °C}"], "41", "temperature:", "40 °C or less"),
    # 104.1 °F is 40.06 °C (NIST Handbook 44, Appendix C).
    (["bath: warm", "temperature: {least: 90 °F, most: 104.1 °F}"], "104.1", "temperature:", "40 °C or less"),
    (["bath: warm", "most_age: 5 h"], "5 h", "most_age", "4 h or less"),
    (["bath: warm", "most_uses: 7"], "7", "most_uses", "6 or less"),
    (["arrival: {within: 61 min}"], "61 min", "arrival", "1 h or less"),
    (["approval: {until: 2027-01-06}"], "2027-01-06", "approval", "2027-01-05 or an earlier day"),
    (["component: tube", "clean_again: {most: 4}"], "4", "clean_again", "3 or less"),
    (["component: rod", "clean_again: {most: 3}"], "3", "id: rod", "2 or less"),
]  # fmt: skip


@pytest.mark.parametrize(("lines", "at", "of", "remedy"), LOOSER, ids=lambda row: str(row)[:60])
def test_a_looser_limit_is_refused_with_both_lines(lines, at, of, remedy):
    text = HEAD + change(*lines)
    finding, *others = refused(change(*lines))
    assert all(sheet_line(of) in other.what for other in others)
    written = text.splitlines()[finding.line - 1]
    assert finding.path == POLICY
    assert written[finding.column - 1 :].startswith(at)
    assert sheet_line(of) in finding.what
    assert remedy in finding.remedy


# Each row: an addition that the order of the sheet does not bear, and what is said of it.
DISORDER = [
    (["before: tube.rinse", "steps:", "  - {id: wipe-off, say: Wipe it., short: wipe it, wipe: warm}"], "before its first rinse", "id: rinse"),
    (["before: tube.leak", "steps:", "  - {id: lie, say: Lay it., short: lay it, bath: warm}"], "before its first rinse", "id: leak"),
    (["after: rod.wipe", "steps:", "  - {id: lie, say: Lay it., short: lay it, bath: warm}"], "submerge the rod", "never: [submerge]"),
    (["after: rod.wipe", "steps:", "  - {id: lie, say: Lay it., short: lay it, soak: {bath: warm, least: 1 min}}"], "submerge the rod", "never: [submerge]"),
    (["after: tube.dry", "steps:", "  - {id: again, say: Brush., short: brush, brush: {lumen: main, diameter: 6 mm, reach: 35 cm, passes: 3}}"], "above the surface", "id: dry"),
    (["before: tube.leak", "steps:", "  - {id: wait, say: Wait., short: wait, needs: [rod.rinse]}"], "neither can ever be reached", "id: rinse\n        say: Rinse the rod"),
    (["after: tube.leak", "steps:", "  - {id: wait, say: Wait., short: wait, needs: [tube.soak]}"], "same track", "id: leak"),
    (["after: tube.soak", "steps:", "  - {id: wait, say: Wait., short: wait, needs: [rod.none]}"], 'no step "rod.none"', "id: soak"),
]  # fmt: skip


@pytest.mark.parametrize(("lines", "what", "of"), DISORDER, ids=lambda row: str(row)[:60])
def test_a_step_that_breaks_the_order_is_refused_with_both_lines(lines, what, of):
    found = [finding for finding in refused(change(*lines)) if what in finding.what]
    assert found
    for finding in found:
        assert finding.path == POLICY
        assert finding.line >= HEAD.count("\n") + WHO.count("\n") + 1
    assert any(sheet_line(of) in finding.what for finding in found)


@pytest.mark.parametrize(
    ("lines", "what"),
    [
        (["step: tube.soak", "soak: {least: 16 min}"], "most (15 min) is not more than least (16 min)"),
        (["bath: warm", "temperature: {least: 41 °C}"], "is more than most"),
        (["step: tube.flush", "flush: {volume: 9 L}"], "too many to count"),
        (["approval: {until: 2026-01-04}"], "is before on"),
        (["step: tube.brush", "brush: {passes: 100}"], '"passes" is "100"'),
    ],
)  # fmt: skip
def test_a_limit_that_nothing_could_meet_is_refused(lines, what):
    (finding,) = refused(change(*lines))
    assert finding.path == POLICY
    assert what in finding.what
    assert f"{SHEET}:" in finding.what


def test_all_refusals_are_told_at_once_in_the_order_of_the_policy():
    found = refused(*(change(*lines) for lines, *_ in LOOSER[:8:2]), change(*DISORDER[0][0]))
    assert [finding.line for finding in found] == sorted(finding.line for finding in found)
    assert len(found) == 5


def test_what_is_spoken_has_the_tightened_figures():
    # 80 mL in fills of 20 mL are 4.
    done = lay(
        change("bath: warm", "temperature: {least: 32 °C, most: 38 °C}"),
        change("step: tube.soak", "soak: {least: 8 min}"),
        change("step: tube.brush", "brush: {passes: 5}"),
        change("step: tube.flush", "flush: {volume: 80 mL}"),
        change("step: tube.leak", "leak_test: {least: 155 mmHg, hold: 45 s}"),
        change("step: tube.dry", "dry: {pressure: 15 psi}"),
    ).procedure
    assert step(done, "tube.soak").say == f"Soak it for 8 min at 32{DASH}38 °C."
    assert step(done, "tube.brush").say == "Brush it 5 times."
    assert step(done, "tube.flush").say == "Flush it with 80 mL, 4 fills."
    assert "80 mL ÷ 20 mL" in " ".join(step(done, "tube.flush").working)
    assert f"155{DASH}170 mmHg" in step(done, "tube.leak").say
    # Made by the program.
    assert f"32{DASH}38 °C" in step(done, "warm.fill").say
    assert f"32{DASH}38 °C" in step(done, "warm.temperature").say
    assert f"155{DASH}170 mmHg" in step(done, "tube.leak-pressure").say
    assert "45 s" in step(done, "tube.leak-hold").say
    assert "15 psi" in step(done, "tube.dry-pressure").say
    spoken = " ".join(s.say for c in done.components for s in c.steps)
    for old in (f"30{DASH}40", f"150{DASH}170", "30 s", "20 psi", "60 mL"):
        assert old not in spoken


def test_each_step_that_changed_and_no_other_tells_the_rule():
    done = lay(
        change("bath: warm", "temperature: {least: 32 °C}"),
        WHO.replace("Because", "Soil").replace("test lead", "night lead")
        + "    step: tube.soak\n    soak: {least: 8 min}\n",
    ).procedure
    origins = {s.id: s.origin for c in done.components for s in c.steps if s.origin}
    assert origins == {
        "warm.fill": ORIGIN,
        "warm.temperature": ORIGIN,
        "tube.soak": f"{ORIGIN}; policy night lead, 2026-02-02: Soil.",
    }


def test_added_steps_stand_where_they_were_put_in_the_order_of_the_file():
    done = lay(
        change("after: tube.rinse", "steps:", "  - {id: a, say: A., short: a}", "  - {id: b, say: B., short: b}"),
        change("after: tube.rinse", "steps: [{id: c, say: C., short: c}]"),
        change("before: tube.leak", "steps: [{id: d, say: D., short: d}]"),
        change("before: tube.hand-on", "steps: [{id: e, say: E., short: e}]"),
        change("after: rod.look", "steps: [{id: f, say: F., short: f, needs: [tube.e]}]"),
    ).procedure  # fmt: skip
    ids = [s.id.partition(".")[2] for s in done.component("tube").steps]
    assert ids[:7] == ["d", "leak-pressure", "leak-hold", "leak", "rinse", "a", "b"]
    assert ids[7:9] == ["c", "soak"]
    assert ids[-2:] == ["e", "hand-on"]
    assert step(done, "rod.f").needs == ("tube.e",)
    # What comes first in a track waits for the intake.
    assert "intake.count" in step(done, "tube.d").needs
    assert all(step(done, f"tube.{one}").origin == ORIGIN for one in "abcde")
    assert step(done, "tube.soak").origin == ""


def test_an_added_step_is_written_as_in_a_sheet_with_the_parts_lumens_and_baths():
    done = lay(
        change(
            "after: tube.brush",
            "steps:",
            "  - id: thick",
            "    say: Brush it {passes} times in the {bath} of {temperature}.",
            "    short: brush it again",
            "    bath: warm",
            "    brush: {lumen: main, diameter: 7 mm, reach: 35 cm, passes: 4}",
            "  - id: tight",
            "    say: Test it again.",
            "    short: second leak test",
            "    leak_test: {least: 150 mmHg, most: 170 mmHg, hold: 60 s, most_drop: 3 mmHg}",
        ),
        change("bath: warm", "temperature: {least: 32 °C}"),
    ).procedure
    assert step(done, "tube.thick").say == f"Brush it 4 times in the warm bath of 32{DASH}40 °C."
    for one in ("tight-pressure", "tight-hold", "tight"):
        assert step(done, f"tube.{one}").origin == ORIGIN


def test_hazards_and_equipment_come_to_the_opening():
    done = lay(change("hazards: [Hot.]", "protective_equipment: [ear plugs]")).procedure
    opening = step(done, "intake.opening")
    assert [caution.text for caution in opening.cautions] == ["Sharp tips.", "Hot."]
    assert opening.say == "Put on: gloves, ear plugs."
    assert opening.origin == ORIGIN
    assert done.hazards == ("Sharp tips.", "Hot.")


def test_cautions_come_after_those_of_the_step_with_its_figures():
    done = lay(
        change("step: tube.brush", 'cautions: ["It is {temperature} warm.", Look.]'),
        change("bath: warm", "temperature: {most: 38 °C}"),
    ).procedure
    cautions = step(done, "tube.brush").cautions
    assert [caution.text for caution in cautions] == [
        "Brush under water.",
        f"It is 30{DASH}38 °C warm.",
        "Look.",
    ]
    assert len({caution.id for caution in cautions}) == 3


def test_what_the_program_makes_may_have_cautions_and_simple_steps_added():
    done = lay(
        change("step: warm.dose", 'cautions: ["Pour {dose} slowly."]'),
        change("step: tube.hand-on", "cautions: [Look at the label.]"),
        change("after: intake.count", "steps: [{id: photo, say: Take a photo., short: photo}]"),
        change("before: warm.fill", "steps: [{id: wipe-out, say: Wipe it., short: wipe it}]"),
        change(
            "after: warm.temperature",
            "steps: [{id: strip, say: Dip a strip., short: strip,"
            ' question: {ask: "Is it green?", if_not: Dose again.}}]',
        ),
    ).procedure
    # 10 L at 5 mL/L are 50 mL.
    assert step(done, "warm.dose").cautions[0].text == "Pour 50 mL slowly."
    assert step(done, "tube.hand-on").cautions[0].text == "Look at the label."
    assert done.component("warm").steps[0].id == "warm.wipe-out"
    assert step(done, "warm.wipe-out").needs == ("intake.opening",)
    # What waited for the end of a track waits for its new end.
    assert step(done, "tube.soak").needs == ("warm.strip",)
    assert step(done, "rod.rinse").needs == ("intake.photo", "tube.leak")
    known = {s.id for c in done.components for s in c.steps}
    for component in done.components:
        for one in component.steps:
            assert set(one.needs) <= known
    assert step(done, "intake.photo").origin == ORIGIN


def test_a_policy_needs_nothing_but_the_bytes_of_both():
    text = (HEAD + change("step: tube.soak", "soak: {least: 8 min}")).encode()
    done = policy.applied(MANY.read_bytes(), SHEET, text, POLICY)
    assert step(done, "tube.soak").task.least_s == 480


def test_mistakes_of_both_files_are_told_together():
    text = MANY.read_text(encoding="utf-8").replace("least: 5 min, most: 15 min", "least: 5")
    found = refused("  - {step: tube.soak}\n", sheet=text)
    assert {finding.path for finding in found} == {SHEET, POLICY}


def test_without_a_policy_everything_comes_from_the_sheet_or_the_program():
    plain = policy.read(MANY.read_bytes(), SHEET)
    told = sources(plain)
    assert told["tube.soak"] == [f"sheet {sheet_line('id: soak')}"]
    assert told["tube.leak-hold"] == [f"made by the program from {sheet_line('id: leak')}"]
    assert told["warm.dose"] == ["made by the program"]
    assert plain.procedure == sheet.parse(MANY.read_bytes(), SHEET)


def test_with_a_policy_each_step_tells_sheet_and_rule():
    told = sources(
        lay(
            change("step: tube.soak", "soak: {least: 8 min}"),
            change("bath: warm", "temperature: {least: 32 °C}"),
            change("after: tube.soak", "steps: [{id: a, say: A., short: a}]"),
        )
    )
    assert told["tube.soak"] == [
        f"sheet {sheet_line('id: soak')}",
        f"{ORIGIN} ({POLICY}:5: least 5 min -> 8 min)",
        f"{ORIGIN} ({POLICY}:10: its texts)",
    ]
    assert told["tube.a"] == [f"{ORIGIN} ({POLICY}:15: step added)"]
    assert told["warm"][1] == f"{ORIGIN} ({POLICY}:10: temperature.least 30 °C -> 32 °C)"


@pytest.mark.parametrize(
    "path", sorted((TOP / "procedures" / "policies").glob("*.yaml")), ids=lambda path: path.stem
)
def test_a_shipped_policy_is_good_and_says_that_its_rules_are_invented(path):
    of = TOP / "procedures" / path.name
    done = policy.read(of.read_bytes(), str(of), path.read_bytes(), str(path))
    assert "invented" in done.policy.notice
    assert all(changes for rule, changes in done.effects), "a rule that changes nothing"


def test_a_sheet_is_no_policy():
    with pytest.raises(SheetError) as caught:
        policy.applied(MANY.read_bytes(), SHEET, MANY.read_bytes(), POLICY)
    assert any('"changes" is missing' in finding.what for finding in caught.value.findings)
