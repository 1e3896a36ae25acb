from __future__ import annotations

import time

import pytest

from assistant.procedure import order
from assistant.procedure.draft import StepDraft, TrackDraft
from assistant.procedure.finding import START, Finding, Findings, Mark
from assistant.procedure.model import Component, Step


def draft(step: str, line: int, *needs: str, **facts: str | bool) -> StepDraft:
    mark = Mark(line, 1)
    return StepDraft(Step(step, "say", "short"), mark, tuple((n, mark) for n in needs), **facts)  # type: ignore[arg-type]


def track(name: str, *steps: StepDraft) -> TrackDraft:
    component = Component(name, name, "away", tuple(step.step for step in steps))
    return TrackDraft(component, START, steps)


def told(*tracks: TrackDraft, baths: tuple[str, ...] = ()) -> list[Finding]:
    findings = Findings("x")
    order.check(tracks, [(bath, START) for bath in baths], findings)
    return findings.sorted()


FILL = {"prepares": "b"}
READ = {"measures": "b"}
SOAK = {"contact": "b", "soaks": True}


def test_a_bath_that_is_prepared_read_and_used_in_order_is_good() -> None:
    one = track(
        "one",
        draft("one.rinse", 1, first_rinse=True),
        draft("one.fill", 2, **FILL),
        draft("one.read", 3, **READ),
        draft("one.soak", 4, **SOAK),
    )
    two = track(
        "two", draft("two.rinse", 5, first_rinse=True), draft("two.soak", 6, "one.read", **SOAK)
    )
    assert told(one, two, baths=("b",)) == []


@pytest.mark.parametrize(
    ("facts", "line", "what"),
    [
        ([FILL, READ, SOAK], 3, "first rinse"),
        ([{"first_rinse": True}, FILL, SOAK, READ], 3, "before the temperature"),
        ([{"first_rinse": True}, READ, FILL, SOAK], 2, "before it is prepared"),
        ([{"first_rinse": True}, FILL, READ, SOAK, FILL], 3, "before it is prepared"),
        ([{"contact": "b", "first_rinse": True}, FILL, READ], 1, "first rinse"),
    ],
)
def test_a_wrong_order_is_told_at_its_step(
    facts: list[dict[str, str | bool]], line: int, what: str
) -> None:
    steps = [draft(f"one.s{n}", n, **fact) for n, fact in enumerate(facts, start=1)]
    found = told(track("one", *steps), baths=("b",))
    assert any(finding.line == line and what in finding.what for finding in found), found


def test_a_bath_that_nobody_uses_is_told() -> None:
    found = told(track("one", draft("one.fill", 1, **FILL)), baths=("b",))
    assert [finding.what for finding in found] == ['no step uses the bath "b"']


def test_three_tracks_in_a_circle_are_told_at_each_need() -> None:
    names = ["a", "b", "c"]
    tracks = [
        track(name, draft(f"{name}.x", n, f"{before}.x"))
        for n, (name, before) in enumerate(zip(names, ["c", "a", "b"], strict=True), start=1)
    ]
    assert [finding.line for finding in told(*tracks)] == [1, 2, 3]


def test_two_tracks_each_waiting_for_the_others_end_are_a_deadlock() -> None:
    one = track("a", draft("a.x", 1, "b.y"), draft("a.y", 2))
    two = track("b", draft("b.x", 3, "a.y"), draft("b.y", 4))
    assert [finding.line for finding in told(one, two)] == [1, 3]


def test_a_long_chain_is_judged_quickly() -> None:
    steps = [draft(f"a.s{n}", n) for n in range(1, order.MOST_STEPS + 1)]
    begun = time.process_time()
    assert told(track("a", *steps)) == []
    assert time.process_time() - begun < 1.0
    (finding,) = told(track("a", *steps, draft("a.last", 999)))
    assert "split" in finding.remedy
