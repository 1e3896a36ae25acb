from __future__ import annotations

import json
import random
import re
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sheet_reading import findings, hangs_together, steps

from assistant.procedure import layout
from assistant.procedure.finding import MOST_FINDINGS
from assistant.procedure.model import Dwell, DwellKind, ReadingTask, Role
from assistant.procedure.quantity import Window, parse
from assistant.procedure.sheet import check, read
from assistant.procedure.sheet import parse as parse_sheet

SHIPPED = sorted((Path(__file__).parents[2] / "procedures").glob("*.yaml"))
SHEETS = [*SHIPPED, *sorted((Path(__file__).parent / "sheets").glob("*.yaml"))]


def test_a_good_sheet_becomes_a_procedure(small: str) -> None:
    procedure = parse_sheet(small.encode(), "x.yaml")
    assert procedure.id == "small-set"
    assert procedure.revision == "1.10"
    assert [part.name for part in procedure.parts] == ["tube", "rod"]
    assert [c.id for c in procedure.components] == ["intake", "warm", "tube", "rod"]
    assert procedure.component("tube").also == ("outer tube",)
    assert procedure.component("rod").count == 2
    (bath,) = procedure.baths
    assert bath.volume == parse("75 L")
    assert bath.temperature == Window(parse("32 °C"), parse("43 °C"))


def test_figures_are_reckoned_from_the_bath_and_the_task(small: str) -> None:
    read_steps = steps(small)
    # 75 L at 7.8125 mL/L is 585.94 mL (NIST Handbook 44, Appendix C); 19.8 fl oz.
    assert read_steps["tube.fill"].say == "To 75 L add 19.8 fl oz."
    assert parse("585.9375 mL").to(parse("1 fl oz").unit).rounded() == parse("19.8 fl oz")
    assert read_steps["tube.measure"].say == "Measure the air. It must be 1\u201320 psi."
    assert read_steps["tube.soak"].say == "Soak the tube for 90 s."


def test_a_reading_may_have_its_own_window(small: str) -> None:
    sheet = small.replace("lot: {of: tray lot}", "reading: {of: water pressure, most: 20 psi}")
    task = steps(sheet)["rod.hand-over"].task
    assert task == ReadingTask("water pressure", Window(None, parse("20 psi")))


def test_what_uses_a_bath_waits_for_its_temperature_and_a_part_for_the_intake(small: str) -> None:
    found = steps(small)
    assert found["rod.soak"].needs == ("warm.temperature", "tube.measure")
    assert found["tube.fill"].needs == ("warm.temperature",)
    assert found["tube.rinse"].needs == ("intake.opening",)
    assert found["warm.fill"].needs == ("intake.opening",)


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_a_shipped_procedure_has_no_mistake_and_says_that_its_values_are_invented(
    path: Path,
) -> None:
    assert check(path) == []
    assert "invented" in read(path).notice
    hangs_together(read(path))


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_a_shipped_procedure_soaks_two_components_side_by_side(path: Path) -> None:
    soaks = [
        component.id
        for component in read(path).components
        for step in component.steps
        if isinstance(step.task, Dwell) and step.task.kind is DwellKind.SOAK
    ]
    assert len(set(soaks)) >= 2


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_a_shipped_prompt_is_short_enough_to_be_heard(path: Path) -> None:
    # Common practice, no source: one idea a sentence; ours have at most 15 words.
    for component in read(path).components:
        for step in component.steps:
            for sentence in step.say.split(". "):
                # Generated lists (equipment, items to count, a date) are as long as they are.
                most = 15 if component.role is Role.PART else 30
                assert len(sentence.split()) <= most, step.id


def test_every_mistake_is_told_at_once_in_the_order_of_the_file(small: str) -> None:
    sheet = (
        small.replace('"1.10"', "1.10")
        .replace("name: rod", "name: rod 2")
        .replace("least: 90 s", "least: 90")
        .replace("dry: {least: 1 min}", "dry: {lest: 1 min}")
        .replace("[tube.measure]", "[tube.measured]")
    )
    told = findings(sheet)
    assert [finding.line for finding in told] == sorted(finding.line for finding in told)
    for part in [
        "quotes",
        "cannot be said",
        "no unit",
        '"least"?',
        '"least" is missing',
        "measured",
    ]:
        assert any(part in str(finding) for finding in told), part


def test_two_tracks_that_wait_for_each_other_are_told_at_both_ends(small: str) -> None:
    sheet = small.replace(
        "short: rinse the tube\n", "short: rinse the tube\n        needs: [rod.hand-over]\n"
    )
    told = [finding for finding in findings(sheet) if "neither can ever" in finding.what]
    assert [finding.line for finding in told] == [24, 55]


def test_a_step_that_waits_for_a_circle_can_never_be_reached(small: str) -> None:
    third = """
  - id: cap
    name: cap
    onward: the clean side
    steps:
      - {id: dry, say: Dry the cap., short: dry, needs: [tube.dry]}
      - {id: look, say: Look at it., short: look}
"""
    circle = small.replace(
        "short: rinse the tube\n", "short: rinse the tube\n        needs: [rod.hand-over]\n"
    )
    told = [finding for finding in findings(circle + third) if "cap.dry" in finding.what]
    assert len(told) == 1
    assert "can never be reached" in told[0].what
    assert findings(small + third) == []


def test_words_that_other_readers_take_for_truth_values_stay_words(small: str) -> None:
    sheet = small.replace("say: Dry the tube.", "say: No").replace("name: rod", "name: off")
    assert steps(sheet)["tube.dry"].say == "No"
    assert parse_sheet(sheet.encode(), "x").parts[1].name == "off"


def test_revisions_that_are_equal_as_numbers_differ(small: str) -> None:
    other = parse_sheet(small.replace('"1.10"', '"1.1"').encode(), "x")
    assert other.revision != parse_sheet(small.encode(), "x").revision


def test_a_finding_is_printed_as_editors_read_it(tmp_path: Path, small: str) -> None:
    path = tmp_path / "bad.yaml"
    path.write_text(small.replace("count: 2", "cuont: 2"), encoding="utf-8")
    assert [str(finding) for finding in check(path)] == [
        f'{path}:43:5: "cuont" is no key of this component; did you mean "count"?'
    ]


@pytest.mark.parametrize("name", ["missing.yaml", "", "nul\0.yaml"])
def test_a_file_that_cannot_be_opened_is_one_finding(tmp_path: Path, name: str) -> None:
    (finding,) = check(tmp_path / name)
    assert "cannot be read" in finding.what


@pytest.mark.parametrize("end", ["\r\n", "\r"])
@pytest.mark.parametrize("start", ["", "\ufeff"])
def test_line_ends_and_a_byte_order_mark_change_nothing(small: str, end: str, start: str) -> None:
    variant = (start + small.replace("\n", end)).encode()
    assert parse_sheet(variant, "x") == parse_sheet(small.encode(), "x")
    broken = (start + small.replace("count: 2", "cuont: 2").replace("\n", end)).encode()
    assert [(f.line, f.column) for f in findings(broken)] == [(43, 5)]


def test_a_yaml_directive_changes_nothing(small: str) -> None:
    variant = f"%YAML 1.2\n---\n{small}"
    assert parse_sheet(variant.encode(), "x") == parse_sheet(small.encode(), "x")


def test_no_break_spaces_are_spaces(small: str) -> None:
    variant = small.replace("90 s", "90\u00a0s").replace("32 °C", "32\u202f°C")
    assert parse_sheet(variant.encode(), "x") == parse_sheet(small.encode(), "x")


@settings(max_examples=300, deadline=None)
@given(
    st.one_of(
        st.binary(max_size=300), st.text(max_size=300).map(lambda t: t.encode(errors="replace"))
    )
)
def test_no_file_whatever_gives_anything_but_findings(data: bytes) -> None:
    assert findings(data)


blocks = [block for block in vars(layout).values() if isinstance(block, layout.Layout)]
keys = st.sampled_from(sorted({key for block in blocks for key in block.keys}))
words = st.sampled_from(["a", "1:30", "10 min", "5 mL/L", "{dose}", "", "yes", "~", "43 °C", "0 %"])
trees = st.recursive(
    words,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(keys, inner, max_size=6),
    max_leaves=25,
)


@settings(max_examples=300, deadline=None)
@given(st.dictionaries(keys, trees))
def test_no_shape_whatever_gives_anything_but_findings(tree: dict[str, object]) -> None:
    assert findings(json.dumps(tree, ensure_ascii=False))


@pytest.mark.parametrize("path", SHEETS, ids=lambda path: path.stem)
@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 2**32))
def test_a_mutated_sheet_is_read_or_refused_and_never_breaks(path: Path, seed: int) -> None:
    data = mutated(path.read_bytes(), random.Random(seed))  # noqa: S311 - no secret
    found = findings(data)
    if not found:
        hangs_together(parse_sheet(data, "x.yaml"))
    for finding in found:
        assert 1 <= finding.line <= data.count(b"\n") + 2
        assert finding.what
        assert finding.remedy


SIGNS = [b"[", b"{", b'"', b"-", b"&a ", b"*a", b"!!int ", b"9 "]


def mutated(data: bytes, draw: random.Random) -> bytes:
    """The sheet with one to four of its lines, words or bytes changed."""
    for _ in range(draw.randint(1, 4)):
        lines = data.split(b"\n")
        here, there = draw.randrange(len(lines)), draw.randrange(len(lines))
        match draw.randrange(8):
            case 0:
                del lines[here]
            case 1:
                lines.insert(here, lines[there])
            case 2:
                lines[here], lines[there] = lines[there], lines[here]
            case 3:
                lines[here] = lines[here].split(b":")[0] + b":"
            case 4:
                lines[here] = b" " * draw.randrange(8) + lines[here].strip()
            case 5:
                values = re.findall(rb"(?<=: )[^,}\]]+", lines[here])
                others = re.findall(rb"(?<=: )[^,}\]]+", lines[there])
                if values and others:
                    lines[here] = lines[here].replace(draw.choice(values), draw.choice(others), 1)
            case 6:
                lines[here] = lines[here].replace(b": ", b": " + draw.choice(SIGNS), 1)
            case _:
                spot = draw.randrange(len(lines[here]) + 1)
                lines[here] = lines[here][:spot] + draw.randbytes(1) + lines[here][spot + 1 :]
        data = b"\n".join(lines)
    return data


@pytest.mark.parametrize(("litres", "spoken"), [(1, "2 mL"), (20, "40 mL"), (999, "2000 mL")])
def test_a_spoken_dose_follows_its_bath(small: str, litres: int, spoken: str) -> None:
    sheet = small.replace(
        "basin: {length: 60 cm, width: 50 cm, water_depth: 25 cm}", f"volume: {litres} L"
    ).replace("dose: 1 fl oz/gal", "dose: 2 mL/L")
    # volume times concentration: 2 mL in each litre, spoken with three digits
    assert steps(sheet)["tube.fill"].say == f"To {litres} L add {spoken}."


def test_the_telling_ends_where_nobody_would_read_on(small: str) -> None:
    found = findings(small + "".join(f"wrong-{number}: a\n" for number in range(1000)))
    assert len(found) == MOST_FINDINGS + 1
    assert sum("more than 200 mistakes" in finding.what for finding in found) == 1


def test_a_long_text_is_not_repeated_in_full(small: str) -> None:
    for finding in findings(small.replace("small-set", "X" * 10_000)):
        assert len(str(finding)) < 700
