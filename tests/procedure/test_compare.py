# ruff: noqa: E501 - the rows of a table read best on one line
from __future__ import annotations

import dataclasses
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from policies import MANY

from assistant.procedure import model, quantity, sheet, task
from assistant.procedure.compare import (
    _NOT_COMPARED,
    _STRICTER,
    Change,
    Verdict,
    compare,
    stated,
    told,
)
from assistant.trade import leak, residue

TEXT = MANY.read_text(encoding="utf-8")
OPPOSITE = {
    Verdict.TIGHTER: Verdict.LOOSER,
    Verdict.LOOSER: Verdict.TIGHTER,
    Verdict.ADDED: Verdict.REMOVED,
    Verdict.REMOVED: Verdict.ADDED,
}


def changes(old: str, new: str) -> list[Change]:
    """What a revision of the sheet of many kinds changes, without what only follows."""
    text = TEXT.replace(old, new)
    assert text != TEXT
    before, after = (sheet.parse(one.encode(), "x.yaml") for one in (TEXT, text))
    found = stated(compare(before, after), before, after)
    back = stated(compare(after, before), before, after)
    assert {(c.where, c.what, c.new, c.old, OPPOSITE.get(c.verdict, c.verdict)) for c in found} == {
        (c.where, c.what, c.old, c.new, c.verdict) for c in back if c.verdict is not Verdict.MOVED
    } | {(c.where, c.what, c.new, c.old, c.verdict) for c in found if c.verdict is Verdict.MOVED}
    return found


def row(change: Change) -> tuple[str, str, str, str, str]:
    return (change.where, change.what, change.old, change.new, str(change.verdict))


# Each row: what a revision changes, and what is told of it.
ROWS = [
    ('revision: "1"', 'revision: "2"', ("", "revision", "1", "2", "changed")),
    ("[Sharp tips.]", "[Sharp tips., Hot.]", ("", "hazard", "", "Hot.", "added")),
    ("[gloves]", "[gown]", ("", "protective equipment", "gloves", "", "removed")),
    ("until: 2027-01-05", "until: 2026-12-05", ("", "approval.until", "2027-01-05", "2026-12-05", "tighter")),
    ("within: 60 min", "within: 90 min", ("intake.elapsed", "most", "1 h", "1 h 30 min", "looser")),
    ("delayed: Soak it longer.", "delayed: Tell the lead.", ("intake.treated", "if_not", "Soak it longer.", "Tell the lead.", "changed")),
    ("least: 30 °C", "least: 32 °C", ("warm", "temperature.least", "30 °C", "32 °C", "tighter")),
    ("most: 40 °C", "most: 41 °C", ("warm", "temperature.most", "40 °C", "41 °C", "looser")),
    ("dose: 5 mL/L", "dose: 6 mL/L", ("warm", "dose", "5 mL/L", "6 mL/L", "changed")),
    ("    most_age: 4 h\n", "", ("warm", "most_age", "4 h", "none", "looser")),
    ("most_uses: 6", "most_uses: 5", ("warm", "most_uses", "6", "5", "tighter")),
    ("clean_again: {start: rinse, most: 3}", "clean_again: {start: soak, most: 2}", ("tube", "rounds.most", "3", "2", "tighter")),
    ("treatment: packing", "treatment: disinfection", ("tube", "treatment", "packing", "disinfection", "changed")),
    ("name: rod\n", "name: rod\n    also: [stick]\n", ("rod", "other name", "", "stick", "added")),
    ("never: [submerge]", "never: [submerge, brush]", ("rod", "never", "", "brush", "added")),
    ("least: 5 min, most: 15 min", "least: 5 min", ("tube.soak", "most", "15 min", "none", "looser")),
    ("least: 5 min, most: 15 min", "least: 6 min, most: 15 min", ("tube.soak", "least", "5 min", "6 min", "tighter")),
    ("hold: 30 s", "hold: 20 s", ("tube.leak-hold", "least", "30 s", "20 s", "looser")),
    ("most_drop: 5 mmHg", "most_drop: 4 mmHg", ("tube.leak", "most_drop", "5 mmHg", "4 mmHg", "tighter")),
    ("passes: 3", "passes: 4", ("tube.brush", "least", "3", "4", "tighter")),
    ("diameter: 6 mm", "diameter: 7 mm", ("tube.brush", "brush", None, None, "changed")),
    ("volume: 60 mL", "volume: 40 mL", ("tube.flush", "volume", "60 mL", "40 mL", "looser")),
    ("below: 200 RLU", "below: 150 RLU", ("tube.swab", "below", "200 RLU", "150 RLU", "tighter")),
    ("meter: test meter", "meter: new meter", ("tube.swab", "name", "test meter", "new meter", "changed")),
    ("limit: {least: 80 %}", "light: {meter: m, below: 9 RLU}", ("tube.light", "judge", "at least 80 %", "below 9 RLU on m", "changed")),
    ("        mandatory: yes\n", "", ("tube.light", "mandatory", "yes", "no", "looser")),
    ("Brush under water.", "Brush below.", ("tube.brush", "caution", "", "Brush below.", "added")),
    ("Rinse the rod.", "Rinse the rod well.", ("rod.rinse", "say", "Rinse the rod.", "Rinse the rod well.", "changed")),
    ("        needs: [tube.leak]\n", "", ("rod.rinse", "need", "tube.leak", "", "removed")),
    ("reading: {of: air pressure, least: 5 psi, most: 20 psi}", "lot: {of: air}", ("rod.air", "task", None, None, "changed")),
    # Another measure is neither stricter nor looser.
    ("least: 5 psi, most: 20 psi", "least: 5 °C, most: 20 °C", ("rod.air", "least", "5 psi", "5 °C", "changed")),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "wanted"), ROWS, ids=lambda row: str(row)[:50])
def test_each_difference_is_told_with_old_and_new(old, new, wanted):
    found = [
        row(change) if wanted[2] is not None else (*row(change)[:2], None, None, row(change)[4])
        for change in changes(old, new)
    ]
    assert wanted in found


def test_a_limit_is_told_once_and_not_again_where_it_only_follows():
    assert [row(change)[:2] for change in changes("least: 30 °C", "least: 32 °C")] == [
        ("warm", "temperature.least"),
        # It is spoken there.
        ("tube.soak", "say"),
    ]


def test_the_same_limit_in_another_unit_is_none():
    assert changes("most_age: 4 h", "most_age: 240 min") == []
    # What is spoken differs.
    assert [row(c)[1] for c in changes("volume: 60 mL", "volume: 0.06 L")] == ["say"]


def test_equal_procedures_differ_in_nothing():
    plain = sheet.parse(TEXT.encode(), "x.yaml")
    assert compare(plain, plain) == []


def test_steps_and_tracks_come_go_and_move():
    tube, rod = TEXT.split("  - id: rod\n")
    air = rod[rod.index("      - id: air") : rod.index("      - id: look")]
    wipe = rod[rod.index("      - id: wipe") : rod.index("      - id: air")]
    before = sheet.parse(TEXT.encode(), "x.yaml")

    moved = f"{tube}  - id: rod\n{rod.replace(air, '').replace(wipe, air + wipe)}"
    after = sheet.parse(moved.encode(), "x.yaml")
    (change,) = stated(compare(before, after), before, after)
    assert change.verdict is Verdict.MOVED
    assert change.what == "step"
    assert {change.where, change.old} & {"rod.air", "rod.wipe"}

    renamed = TEXT.replace("id: look", "id: see")
    after = sheet.parse(renamed.encode(), "x.yaml")
    assert {(c.where, c.verdict) for c in stated(compare(before, after), before, after)} == {
        ("rod.look", Verdict.REMOVED),
        ("rod.see", Verdict.ADDED),
    }

    alone = sheet.parse(tube.encode(), "x.yaml")
    found = stated(compare(before, alone), before, alone)
    assert [row(change) for change in found] == [("rod", "track", "rod", "", "removed")]


def test_the_lines_of_text_stand_under_their_step():
    lines = list(told(changes("least: 5 min, most: 15 min", "least: 4 min, most: 10 min")))
    assert lines == [
        "tube.soak",
        "  say: Soak it for 5 min at 30\u201340 °C. -> Soak it for 4 min at 30\u201340 °C. (changed)",
        "  least: 5 min -> 4 min (looser)",
        "  most: 15 min -> 10 min (tighter)",
    ]


def test_every_limit_of_the_model_has_a_direction():
    kinds = {
        kind
        for module in (model, task, quantity, leak, residue)
        for kind in vars(module).values()
        if dataclasses.is_dataclass(kind)
    }
    limits = {
        (kind, field.name)
        for kind in kinds
        for field in dataclasses.fields(kind)
        if field.name.partition("_")[0] in ("least", "most", "below", "within", "until")
    }
    assert len(limits) >= 15
    assert limits <= set(_STRICTER) | _NOT_COMPARED
    # Nothing in the tables is misspelt.
    named = {(kind, field.name) for kind in kinds for field in dataclasses.fields(kind)}
    assert set(_STRICTER) | _NOT_COMPARED <= named


@settings(max_examples=60, deadline=None)
@given(st.lists(st.integers(1, 900), min_size=2, max_size=5))
def test_stricter_is_an_order(times: list[int]) -> None:
    found = [
        sheet.parse(TEXT.replace("rinse: {least: 1 min}", f"rinse: {{least: {s} s}}").encode(), "x")
        for s in sorted(set(times))
    ]
    for less, more in pairwise(found):
        (up,) = [c for c in compare(less, more) if c.stricter]
        (down,) = [c for c in compare(more, less) if c.stricter]
        assert (up.verdict, down.verdict) == (Verdict.TIGHTER, Verdict.LOOSER)
