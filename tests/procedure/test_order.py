from __future__ import annotations

import time
from dataclasses import replace

import pytest

from assistant.procedure import order
from assistant.procedure.draft import StepDraft, TrackDraft
from assistant.procedure.finding import START, Finding, Findings, Mark
from assistant.procedure.model import Component, Method, Step, When


def draft(step: str, line: int, *needs: str, **facts: object) -> StepDraft:
    mark = Mark(line, 1)
    return StepDraft(Step(step, "say", "short"), mark, tuple((n, mark) for n in needs), **facts)  # type: ignore[arg-type]


def track(name: str, *steps: StepDraft) -> TrackDraft:
    component = Component(name, name, "away", tuple(step.step for step in steps))
    return TrackDraft(component, START, steps)


def told(*tracks: TrackDraft, baths: tuple[str, ...] = ()) -> list[Finding]:
    findings = Findings("x")
    order.check(tracks, [(bath, START) for bath in baths], findings)
    return findings.sorted()


BRUSH = frozenset({Method.BRUSH})


def rinse(step: str, line: int) -> StepDraft:
    return StepDraft(Step(step, "say", "short", first_rinse=True), Mark(line, 1))


def test_a_part_that_is_rinsed_before_its_bath_is_good() -> None:
    one = track("one", rinse("one.rinse", 1), draft("one.soak", 2, contact="b"))
    assert told(one, baths=("b",)) == []


def test_a_bath_before_the_first_rinse_is_told_at_its_step() -> None:
    one = track("one", draft("one.soak", 1, contact="b"), rinse("one.rinse", 2))
    (finding,) = told(one, baths=("b",))
    assert finding.line == 1
    assert "first rinse" in finding.what


def test_a_first_rinse_that_may_be_passed_over_is_none() -> None:
    late = replace(rinse("one.rinse", 1).step, when=When.DELAYED)
    one = track("one", StepDraft(late, Mark(1, 1)), draft("one.soak", 2, contact="b"))
    (finding,) = told(one, baths=("b",))
    assert finding.line == 2
    assert "that is always done" in finding.remedy
    sure = track("one", *one.steps[:1], rinse("one.again", 2), draft("one.soak", 3, contact="b"))
    assert told(sure, baths=("b",)) == []


def test_detergent_for_late_devices_before_the_first_rinse_is_told() -> None:
    soak = replace(draft("one.soak", 1).step, when=When.DELAYED)
    one = track("one", StepDraft(soak, Mark(1, 1), contact="b"), rinse("one.rinse", 2))
    (finding,) = told(one, baths=("b",))
    assert finding.line == 1


def test_a_step_that_is_made_of_another_is_told_with_it_once() -> None:
    pressed = frozenset({Method.PRESSURE})
    made = draft("one.dry-pressure", 1, methods=pressed, made=True)
    one = track("one", made, draft("one.dry", 1, methods=pressed))
    never = replace(one.component, never=pressed)
    (finding,) = told(replace(one, component=never))
    assert '"one.dry" would put pressure on the one' in finding.what


def test_a_step_that_waits_for_itself_or_for_what_needs_no_word_is_told() -> None:
    one = track("one", draft("one.a", 1, "one.a"), draft("one.b", 2, "intake.count", contact="b"))
    found = told(one, baths=("b",))
    assert "waits for itself" in found[0].what
    assert "waited for without being named" in found[1].what or "first rinse" in found[1].what
    assert any("waited for without being named" in finding.what for finding in found)


def test_two_steps_of_one_id_close_no_circle() -> None:
    one = track("one", draft("one.a", 1), draft("one.b", 2), draft("one.a", 3))
    two = track("two", draft("two.a", 4, "one.a"))
    assert told(one, two) == []


def test_a_bath_that_nobody_uses_is_told() -> None:
    found = told(track("one", draft("one.look", 1)), baths=("b",))
    assert [finding.what for finding in found] == ['no step uses the bath "b"']


@pytest.mark.parametrize("method", list(Method))
def test_a_method_that_a_part_does_not_bear_is_told_with_both(method: Method) -> None:
    # Common practice, no source: optics are never brushed nor put under pressure.
    done = draft("one.do", 1, methods=frozenset({method, Method.SUBMERGE}))
    one = track("one", done)
    delicate = replace(one, component=replace(one.component, never=frozenset({method})))
    assert told(one) == []
    (finding,) = told(delicate)
    assert str(method) in finding.what


def test_brushing_above_the_surface_is_told() -> None:
    # Common practice, no source: brushing above the surface throws soil into the air.
    (finding,) = told(track("one", draft("one.brush", 1, methods=BRUSH)))
    assert "above the surface" in finding.what


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
