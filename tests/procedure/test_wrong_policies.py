# ruff: noqa: E501 - the rows of a table read best on one line
from __future__ import annotations

import os
import random
import re
import time

import pytest
from click.testing import CliRunner
from monsters import MADE
from policies import HEAD, MANY, POLICY, SHEET, WHO, change, refused

from assistant.cli.main import cli
from assistant.procedure import policy
from assistant.procedure.finding import Finding, SheetError
from assistant.procedure.rule import MOST_RULES
from assistant.procedure.sheet_text import MOST_BYTES

GOOD = change("step: tube.soak", "soak: {least: 8 min}")


def told(data: str | bytes, sheet: str | None = None) -> list[Finding]:
    raw = data.encode() if isinstance(data, str) else data
    of = MANY.read_bytes() if sheet is None else sheet.encode()
    with pytest.raises(SheetError) as caught:
        policy.applied(of, SHEET, raw, POLICY)
    return caught.value.findings


# Each row: what is exchanged for what in a good policy, the text at which the finding
# must point ("" for the beginning of the file), and parts of what it must say.
WRONG = [
    ("whole", "", "", ["holds no policy"]),
    ("whole", "- a\n- b\n", "", ["no block of keys", "procedure: demo-grasper"]),
    ("whole", HEAD.replace("\n", "\r") + "\x00", "\x00", ["invisible character"]),
    ("whole", HEAD + "  - [\n", "", ["no YAML"]),
    ("whole", HEAD + GOOD + "---\na: b\n", "---", ["second document", "one policy"]),
    ("whole", HEAD + "  - &a {reason: x}\n  - *a\n", "&a", ["anchor"]),
    ("procedure: many", "procedure: mony", "mony", ['"mony"', f"{SHEET}:2", '"many"']),
    ('revision: "1"', 'revision: "2"', '"2"', ['revision "2"', f"{SHEET}:3", "go through the changes"]),
    ('revision: "1"', "revision: 1", "1\nnotice", ["looks like a number", '"1"']),
    ("notice: Invented rules, for tests.\n", "", "procedure", ['"notice" is missing']),
    ("changes:", "chnages:", "chnages", ['did you mean "changes"']),
    ("changes:\n" + GOOD, "changes: []\n", "[]", ['"changes" is empty']),
    ("changes:\n" + GOOD, "changes: soak longer\n", "soak longer", ["a list"]),
    (GOOD, "  - soak longer\n", "soak longer", ["block of keys", "reason, author and approved"]),
    ("  - reason: Because.\n    author", "  - author", "author", ['"reason" is missing', "reason:"]),
    ("    author: test lead\n", "", "reason", ['"author" is missing']),
    ("    approved: 2026-02-02\n", "", "reason", ['"approved" is missing']),
    ("2026-02-02", "2 Feb 2026", "2 Feb", ["no day", "year, month, day"]),
    ("2026-02-02", "2026-02-30", "2026-02-30", ["no day"]),
    ("Because.", "a" * 500, "a" * 500, ["500 signs"]),
    ("Because.", '""', '""', ['"reason" is empty']),
    ("step: tube.soak", "step: tube.soka", "tube.soka", [f"in {SHEET}", 'did you mean "tube.soak"']),
    ("step: tube.soak", "bath: wram", "wram", ['no bath "wram"', '"warm"']),
    ("step: tube.soak", "component: tub", "tub\n", ['no component "tub"', '"tube"']),
    ("step: tube.soak", "after: tube.soka\n    steps: [{id: a, say: A., short: a}]", "tube.soka", ["no step"]),
    ("step: tube.soak", "step: tube.soak\n    bath: warm", "reason", ["stand in one change", "two changes"]),
    ("    soak: {least: 8 min}\n", "", "reason", ["changes nothing", "cautions:"]),
    ("soak: {least: 8 min}", "soak: {}", "reason", ["changes nothing"]),
    ("soak: {least: 8 min}", "rinse: {least: 8 min}", "8 min", ['no "rinse"', f"{SHEET}:", "soak"]),
    ("soak: {least: 8 min}", "soak: {bath: warm, least: 8 min}", "bath: warm", ['"bath" is no key of this change of a soak']),
    ("soak: {least: 8 min}", "soka: {least: 8 min}", "soka", ['did you mean "soak"']),
    ("soak: {least: 8 min}", "soak: 8 min", "8 min", ["block of keys"]),
    ("soak: {least: 8 min}", "soak: {least: 8 min, least: 9 min}", "least: 9", ["twice on line"]),
    ("least: 8 min", "least: 8", "8}", ["no unit", '"8 min" or "8 s"']),
    ("least: 8 min", "least: 1:30", "1:30", ["1 h 30 min", "1 min 30 s"]),
    ("least: 8 min", "least: 8 °C", "8 °C", ["temperature"]),
    ("least: 8 min", "least: [8 min]", "[8 min]", ["a text"]),
    ("soak: {least: 8 min}", "cautions: []", "[]", ["is empty"]),
    ("soak: {least: 8 min}", 'cautions: ["It has {dise}."]', '"It', ['"{dise}" is no placeholder', "dose"]),
    ("soak: {least: 8 min}", "say: Soak it well.", "say", ['"say" is no key']),
    ("soak: {least: 8 min}", "mandatory: maybe", "maybe", ['"yes" or "no"']),
    ("step: tube.soak\n    soak: {least: 8 min}", "step: tube.swab\n    test: {light: {meter: other, below: 1 RLU}}", "meter", ['"meter" is no key']),
    ("step: tube.soak\n    soak: {least: 8 min}", "step: tube.swab\n    test: {limit: {least: 1 %}}", "1 %", ['no "test.limit"']),
    ("step: tube.soak\n    soak: {least: 8 min}", "step: tube.leak-hold\n    cautions: [Look.]", "tube.leak-hold", ['made of "tube.leak"', 'step: tube.leak"']),
    ("step: tube.soak\n    soak: {least: 8 min}", "step: warm.temperature\n    reading: {least: 35 °C}", "35 °C", ["made by the program", '"bath:"']),
    ("step: tube.soak\n    soak: {least: 8 min}", "step: intake.elapsed\n    mandatory: yes", "yes", ["made by the program", "arrival"]),
    ("step: tube.soak\n    soak: {least: 8 min}", 'step: warm.lot\n    cautions: ["{least}"]', '"{least}"', ["no figure"]),
    ("step: tube.soak\n    soak: {least: 8 min}", "before: intake.opening\n    steps: [{id: a, say: A., short: a}]", "intake.opening", ["nothing comes before", "after:"]),
    ("step: tube.soak\n    soak: {least: 8 min}", "after: tube.hand-on\n    steps: [{id: a, say: A., short: a}]", "tube.hand-on", ["nothing comes after", "before: tube.hand-on"]),
    ("step: tube.soak\n    soak: {least: 8 min}", "after: tube.leak-pressure\n    steps: [{id: a, say: A., short: a}]", "tube.leak-pressure", ['after: tube.leak"', f"{SHEET}:"]),
    ("step: tube.soak\n    soak: {least: 8 min}", "after: warm.dose\n    steps: [{id: a, say: A., short: a, wipe: warm}]", "wipe", ['"wipe" is no key of a step of the intake']),
    ("step: tube.soak\n    soak: {least: 8 min}", "after: warm.dose\n    steps: [{id: lot, say: A., short: a}]", "lot", ["there already"]),
    ("step: tube.soak\n    soak: {least: 8 min}", "after: warm.dose\n    steps: [stir]", "stir", ["block of keys"]),
    ("step: tube.soak\n    soak: {least: 8 min}", "after: tube.dry\n    steps: [{id: soak, say: A., short: a}]", "soak", ["already", f"{SHEET}:"]),
    ("step: tube.soak\n    soak: {least: 8 min}", "after: tube.dry\n    steps: [{id: hand-on, say: A., short: a}]", "hand-on", ["the program makes"]),
    ("step: tube.soak\n    soak: {least: 8 min}", "after: tube.dry\n    steps: [{id: a, say: A., short: a}, {id: a, say: A., short: a}]", "a, say: A., short: a}]", ["twice on line"]),
    ("step: tube.soak\n    soak: {least: 8 min}", "after: tube.dry\n    steps: [{id: a, short: a}]", "{id", ['"say" is missing', f"{SHEET}:"]),
    ("step: tube.soak\n    soak: {least: 8 min}", "after: tube.dry\n    steps: [wipe it]", "wipe it", ["a block of keys"]),
    ("step: tube.soak\n    soak: {least: 8 min}", "after: tube.dry\n    steps: wipe it", "wipe it", ["a list"]),
    ("step: tube.soak\n    soak: {least: 8 min}", "after: tube.dry", "reason", ['"steps" is missing']),
    ("step: tube.soak\n    soak: {least: 8 min}", "after: rod.air\n    steps: [{id: a, say: A., short: a, brush: {lumen: main, diameter: 6 mm, reach: 35 cm, passes: 3}}]", "main", ['no lumen of this component "main"']),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "at", "says"), WRONG, ids=lambda row: str(row)[:40])
def test_a_wrong_policy_is_told_with_its_place_and_a_remedy(old, new, at, says):
    text = new if old == "whole" else (HEAD + GOOD).replace(old, new)
    assert text != HEAD + GOOD
    found = told(text)
    lines = text.replace("\r", "\n").split("\n")
    fitting = [
        finding
        for finding in found
        if lines[finding.line - 1][finding.column - 1 :].startswith(at.split("\n")[0])
        and all(part in f"{finding.what}; {finding.remedy}" for part in says)
    ]
    assert fitting, "\n".join(map(str, found))
    for finding in found:
        assert finding.path == POLICY
        assert finding.what
        assert finding.remedy


def checked(path):
    return CliRunner().invoke(cli, ["procedure", "check", str(MANY), "--policy", str(path)])


@pytest.mark.parametrize(("old", "new"), [row[:2] for row in WRONG], ids=lambda row: str(row)[:40])
def test_the_command_tells_of_a_wrong_policy_and_breaks_nothing(tmp_path, old, new):
    path = tmp_path / "rules.yaml"
    text = new if old == "whole" else (HEAD + GOOD).replace(old, new)
    path.write_bytes(text.encode())
    breaks_nothing(path, checked(path))


@pytest.mark.parametrize("name", MADE)
def test_a_file_that_is_no_policy_is_told_soon_and_breaks_nothing(tmp_path, name):
    path = tmp_path / "rules.yaml"
    path.write_bytes(MADE[name][0])
    begun = time.process_time()
    done = checked(path)
    assert time.process_time() - begun < 2.0
    breaks_nothing(path, done)


def breaks_nothing(path, done):
    assert done.exit_code == 1, done.output
    assert isinstance(done.exception, SystemExit)
    assert done.output
    for line in done.output.splitlines():
        assert re.fullmatch(rf"{re.escape(str(path))}:\d+:\d+: .+; .+", line), line


def test_a_policy_that_cannot_be_read_as_a_file_exits_3(tmp_path):
    pipe = tmp_path / "pipe.yaml"
    os.mkfifo(pipe)
    for path in (tmp_path, tmp_path / "none.yaml", pipe, "/dev/zero"):
        done = checked(path)
        assert done.exit_code == 3
        assert done.output.startswith(f"{path}:1:1: the file cannot be read: ")


def test_there_are_many_kinds():
    assert len({tuple(says) for *_, says in WRONG}) >= 50


def test_a_limit_that_two_rules_change_is_told_with_both_lines():
    first, second = HEAD.count("\n") + 5, HEAD.count("\n") + 10
    (finding,) = refused(GOOD, change("step: tube.soak", "soak: {least: 9 min}"))
    assert finding.line == second
    assert f"on line {first} and again on line {second}" in finding.what


@pytest.mark.parametrize(
    ("block", "lines"),
    [
        ("arrival: {within: 60 min, delayed: Soak it longer.}\n", "arrival: {within: 5 min}"),
        (
            "approval: {by: test lead, on: 2026-01-05, until: 2027-01-05}\n",
            "approval: {until: 2026-06-01}",
        ),
    ],
)
def test_what_the_sheet_does_not_have_cannot_be_shortened(block, lines):
    sheet = MANY.read_text(encoding="utf-8").replace(block, "")
    (finding,) = refused(change(lines), sheet=sheet)
    assert "the sheet has no" in finding.what


def test_a_step_that_moves_the_start_of_a_round_to_a_later_one_is_refused():
    # Without clean_again a part is cleaned again from its first rinse on, or its beginning.
    whole = MANY.read_text(encoding="utf-8")
    tube, rod = whole.split("  - id: rod\n")
    rod = rod.replace("        first_rinse: yes\n", "").replace("wipe: warm", "mandatory: yes")
    sheet = f"{tube}  - id: rod\n{rod}"
    lines = ["after: rod.wipe", "steps: [{id: r, say: R., short: r, first_rinse: yes}]"]
    (finding,) = refused(change(*lines), sheet=sheet)
    assert "the start of a new round" in finding.what
    assert "rod.rinse" in finding.what


def test_a_step_with_the_id_of_what_another_one_is_made_of_is_refused():
    leak = "leak_test: {least: 150 mmHg, hold: 30 s, most_drop: 5 mmHg}"
    lines = [
        "after: tube.dry",
        "steps:",
        f"  - {{id: tight, say: T., short: t, {leak}}}",
        "  - {id: tight-hold, say: H., short: h}",
    ]
    (finding,) = refused(change(*lines))
    assert finding.line == HEAD.count("\n") + 7
    assert '"tube.tight-hold" is a step that is made' in finding.what


def test_too_many_rules_are_told_at_the_first_that_is_too_much():
    rules = [change("hazards: [Hot.]") for _ in range(MOST_RULES + 1)]
    (finding,) = refused(*rules)
    assert finding.line == HEAD.count("\n") + MOST_RULES * rules[0].count("\n") + 1


@pytest.mark.parametrize(
    "data",
    [
        b"\xff\xfep\x00",
        b"procedure: caf\xe9\n",
        b"#" * (MOST_BYTES + 1),
        b"[" * 5000,
        b"a: &a [x]\nb: &b [*a, *a]\nc: [*b, *b]\n",
        b"changes: " + b"[" * 18 + b"]" * 18,
        (HEAD + "  - {}\n" * 5000).encode(),
    ],
    ids=["utf-16", "latin-1", "large", "deep", "aliases", "nested", "many"],
)
def test_a_hostile_policy_is_refused_within_a_second(data):
    begun = time.process_time()
    assert told(data)
    assert time.process_time() - begun < 1.0


def test_a_policy_as_long_as_may_be_on_a_long_sheet_ends_within_seconds():
    many = MANY.read_text(encoding="utf-8")
    extra = "".join(
        f"      - {{id: s{n}, say: Wait {n}., short: wait {n}, rinse: {{least: 1 min}}}}\n"
        for n in range(250)
    )
    rules = [change(f"step: rod.s{n}", "rinse: {least: 2 min}") for n in range(MOST_RULES)]
    text = (HEAD + "".join(rules)).encode()
    begun = time.process_time()
    done = policy.read((many + extra).encode(), SHEET, text, POLICY)
    assert time.process_time() - begun < 15.0
    assert sum(len(changes) for _, changes in done.effects) == MOST_RULES


def test_a_slip_of_the_hand_is_told_in_the_policy_or_does_no_harm():
    text = HEAD + GOOD + change("after: tube.soak", "steps: [{id: a, say: A., short: a}]")
    text += change("bath: warm", "temperature: {least: 32 °C, most: 38 °C}")
    chance = random.Random(4)  # noqa: S311 - slips, no secrets
    good, told_in = 0, set()
    for _ in range(300):
        signs = list(text)
        for _ in range(chance.randint(1, 3)):
            at = chance.randrange(len(signs))
            signs[at : at + chance.randint(0, 2)] = chance.choice(
                ["", ":", "{", "]", "\n", "9", "-"]
            )
        try:
            policy.applied(MANY.read_bytes(), SHEET, "".join(signs).encode(), POLICY)
        except SheetError as error:
            told_in |= {finding.path for finding in error.findings}
        else:
            good += 1
    assert told_in == {POLICY}
    assert 0 < good < 300


def test_the_lines_of_a_change_are_what_the_tests_take_them_for():
    assert WHO.count("\n") == 3
