"""The laying of uses onto bays.

Common practice, no source: a two-bay sink is worked so that it resembles three
(rinse and soak in the first, rinse in the second, treated-water rinse apart).
"""

from __future__ import annotations

import math
import time
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.procedure import bays as searching
from assistant.procedure.basin import Change
from assistant.procedure.bay_plan import Impossible, Plan, describe
from assistant.procedure.bays import lay_out
from assistant.procedure.model import Bath, Component, Procedure, Step
from assistant.procedure.quantity import Window, parse
from assistant.procedure.station import Bay, Station, Tap
from assistant.procedure.water_use import Purpose, Use, Water

UTILITY = Tap(Water.UTILITY)
APART = Tap(Water.TREATED, apart=True)
POURED = Tap(Water.TREATED, runs=False)
WARM = Window(parse("30 °C"), parse("40 °C"))

FIRST = Use(Purpose.FIRST_RINSE)
RINSE = Use(Purpose.RINSE)
FINAL = Use(Purpose.FINAL_RINSE)
PREPARE = Use(Purpose.PREPARE, "soap")
SOAK = Use(Purpose.BATH, "soap")
OTHER = Use(Purpose.BATH, "oil")


def procedure(**tracks: list[str]) -> Procedure:
    """Tracks of steps; "soak<rinse" is a step "soak" that needs the step "rinse"."""
    components = []
    for name, names in tracks.items():
        steps = []
        for text in names:
            short, _, need = text.partition("<")
            steps.append(Step(f"{name}.{short}", "say", short, needs=(need,) if need else ()))
        components.append(Component(name, name, "away", tuple(steps)))
    baths = tuple(
        Bath(bath, f"{bath} bath", "demo soap", parse("20 L"), parse("5 mL/L"), WARM)
        for bath in ("soap", "oil")
    )
    return Procedure(
        "invented", "1", "invented", "en", "Invented values.", (), (), baths, tuple(components)
    )


def station(bays: int, *taps: Tap) -> Station:
    return Station(tuple(Bay(f"bay {n + 1}") for n in range(bays)), taps or (UTILITY, APART))


ONE = procedure(a=["first", "soak", "rinse", "final"])
ONE_USES = {"a.first": FIRST, "a.soak": SOAK, "a.rinse": RINSE, "a.final": FINAL}


def places(plan: Plan | Impossible) -> list[tuple[str, str, str]]:
    assert isinstance(plan, Plan)
    return [
        (turn.step, turn.bay, " ".join(change.value for change in turn.changes))
        for turn in plan.turns
    ]


def test_two_bays_are_worked_so_that_they_resemble_three():
    assert places(lay_out(station(2), ONE, ONE_USES)) == [
        ("a.first", "bay 1", ""),
        ("a.soak", "bay 1", "wipe fill"),
        ("a.rinse", "bay 2", ""),
        ("a.final", "", ""),
    ]


def test_three_bays_are_never_changed_and_go_from_soiled_to_clean():
    assert places(lay_out(station(3), ONE, ONE_USES)) == [
        ("a.first", "bay 1", ""),
        ("a.soak", "bay 2", "fill"),
        ("a.rinse", "bay 3", ""),
        ("a.final", "", ""),
    ]


def test_one_bay_is_drained_and_wiped_between_its_uses():
    assert places(lay_out(station(1), ONE, ONE_USES)) == [
        ("a.first", "bay 1", ""),
        ("a.soak", "bay 1", "wipe fill"),
        ("a.rinse", "bay 1", "drain wipe"),
        ("a.final", "", ""),
    ]


def test_treated_water_without_a_tap_fills_a_wiped_bay():
    assert places(lay_out(station(1, UTILITY, POURED), ONE, ONE_USES))[-1] == (
        "a.final",
        "bay 1",
        "wipe fill",
    )


def test_a_treated_tap_over_a_bay_needs_that_bay_wiped():
    taps = (UTILITY, Tap(Water.TREATED))
    assert places(lay_out(station(1, *taps), ONE, ONE_USES))[-1] == ("a.final", "bay 1", "wipe")


def test_first_rinses_are_drawn_together_where_the_tracks_leave_them_free():
    two = procedure(a=["first", "soak", "rinse"], b=["first", "soak", "rinse"])
    uses = {
        f"{c}.{s}": u
        for c in "ab"
        for s, u in zip(("first", "soak", "rinse"), (FIRST, SOAK, RINSE), strict=True)
    }
    plan = lay_out(station(1), two, uses)
    assert isinstance(plan, Plan)
    assert [turn.use.purpose for turn in plan.turns] == sorted(u.purpose for u in uses.values())
    assert plan.changes == 2


def test_one_bay_cannot_hold_a_bath_through_a_rinse_that_a_later_soak_waits_for():
    two = procedure(a=["first", "soak", "rinse"], b=["first", "soak<a.rinse"])
    uses = {"a.first": FIRST, "a.soak": SOAK, "a.rinse": RINSE, "b.first": FIRST, "b.soak": SOAK}
    assert describe(lay_out(station(1), two, uses)) == (
        '"rinse" (rinse) has no bay: bay 1 is held by the soap bath, which "soak" still needs.',
    )
    assert isinstance(lay_out(station(2), two, uses), Plan)


def test_a_bath_is_held_from_its_preparation():
    early = procedure(a=["fill", "first", "soak"])
    uses = {"a.fill": PREPARE, "a.first": FIRST, "a.soak": SOAK}
    assert isinstance(lay_out(station(1), early, uses), Impossible)
    assert places(lay_out(station(2), early, uses)) == [
        ("a.fill", "bay 2", "fill"),
        ("a.first", "bay 1", ""),
        ("a.soak", "bay 2", ""),
    ]


def test_a_second_bath_takes_the_bay_of_the_first_after_its_last_use():
    both = procedure(a=["soak", "oil"], b=["soak"])
    plan = lay_out(station(1), both, {"a.soak": SOAK, "a.oil": OTHER, "b.soak": SOAK})
    assert [step for step, _, _ in places(plan)][-1] == "a.oil"
    assert places(plan)[-1] == ("a.oil", "bay 1", "drain wipe fill")


def test_a_bath_lies_only_in_a_bay_that_holds_it():
    bays = (Bay("small", parse("10 L")), Bay("large", parse("25 L")))
    plan = lay_out(Station(bays, (UTILITY, APART)), ONE, ONE_USES)
    assert ("a.soak", "large") in [(step, bay) for step, bay, _ in places(plan)]
    assert describe(lay_out(Station(bays[:1], (UTILITY, APART)), ONE, ONE_USES)) == (
        "The soap bath takes 20 L, and no bay holds as much.",
    )


def test_a_bay_that_cannot_be_drained_takes_a_bath_but_no_running_water():
    basin = Bay("basin", drains=False)
    bays = (basin, Bay("bay"))
    plan = lay_out(Station(bays, (UTILITY, APART)), ONE, ONE_USES)
    assert ("a.soak", "basin", "fill") in places(plan)
    stopped = lay_out(Station((basin,), (UTILITY, APART)), ONE, ONE_USES)
    assert describe(stopped) == ('"first" (first rinse) has no bay: basin cannot be drained.',)


def test_standing_rinses_of_different_cleanliness_never_share_water():
    standing = {name: replace(use, standing=not use.bath) for name, use in ONE_USES.items()}
    del standing["a.soak"]
    assert places(lay_out(station(1), ONE, standing)) == [
        ("a.first", "bay 1", "fill"),
        ("a.rinse", "bay 1", "drain wipe fill"),
        ("a.final", "bay 1", "drain wipe fill"),
    ]


@pytest.mark.parametrize(
    ("taps", "told"),
    [
        ((UTILITY,), '"final" takes treated water, and the station has no tap for it.'),
        ((APART,), '"first" takes utility water, and the station has no tap for it.'),
    ],
)
def test_a_water_that_no_tap_gives_is_named_with_a_step_that_takes_it(taps, told):
    assert told in describe(lay_out(station(3, *taps), ONE, ONE_USES))


def test_a_station_without_bays_says_so():
    assert describe(lay_out(station(0), ONE, {"a.first": FIRST})) == (
        '"first" (first rinse) has no bay: the station has no bay.',
    )


def test_a_bath_that_the_procedure_lacks_is_named():
    assert describe(lay_out(station(2), ONE, {"a.soak": Use(Purpose.BATH, "wine")})) == (
        '"soak" names no bath of the procedure.',
    )


def test_the_plan_is_told_in_sentences_with_its_changes():
    assert describe(lay_out(station(2), ONE, ONE_USES)) == (
        "First, in bay 1.",
        "Wipe bay 1.",
        "Fill bay 1 for the soap bath.",
        "Soak, in bay 1.",
        "Rinse, in bay 2.",
        "Final, at the treated water tap.",
    )


# Every way to take the uses in turn and lay them, judged by rules written anew
# from the module's description: slow, plain, and with no code in common.
def fewest(tracks, needs, uses, bays):  # noqa: C901 - the rules in one place
    clean = (None, 9)

    def go(done: frozenset[str], bay: tuple, spent: int, best: float) -> float:
        if spent >= best:
            return best
        if len(done) == len(uses):
            return spent
        for names in tracks.values():
            name = next((n for n in names if n not in done), None)
            if name is None or (name in needs and needs[name] not in done):
                continue
            use = uses[name]
            if use.purpose is Purpose.FINAL_RINSE:
                best = min(best, go(done | {name}, bay, spent, best))
                continue
            for n, (content, soil) in enumerate(bay):
                if content and content == use.bath:
                    best = min(best, go(done | {name}, bay, spent, best))
                    continue
                if use.bath and any(c == use.bath for c, _ in bay):
                    continue
                if content and any(uses[u].bath == content for u in set(uses) - done):
                    continue
                soiled = soil < use.purpose
                turned = bool(content) or soiled
                after = (use.bath or None, use.purpose if soiled else min(soil, use.purpose))
                best = min(
                    best,
                    go(done | {name}, (*bay[:n], after, *bay[n + 1 :]), spent + turned, best),
                )
        return best

    return go(frozenset(), (clean,) * bays, 0, math.inf)


@st.composite
def small(draw: st.DrawFn):
    kinds = st.sampled_from([FIRST, SOAK, OTHER, RINSE, FINAL])
    tracks: dict[str, list[str]] = {}
    uses: dict[str, Use] = {}
    needs: dict[str, str] = {}
    for name in "abc"[: draw(st.integers(1, 3))]:
        earlier = list(uses)
        tracks[name] = []
        for number in range(draw(st.integers(1, 3 if name == "a" else 2))):
            step = f"{name}.{number}"
            uses[step] = draw(kinds)
            tracks[name].append(step)
            if earlier and draw(st.booleans()):
                needs[step] = draw(st.sampled_from(earlier))
    return tracks, needs, uses


@settings(max_examples=300, deadline=None)
@given(small(), st.integers(1, 3))
def test_no_way_to_lay_the_uses_has_fewer_changes(case, bays):
    tracks, needs, uses = case
    texts = {
        name: [s.partition(".")[2] + (f"<{needs[s]}" if s in needs else "") for s in steps]
        for name, steps in tracks.items()
    }
    plan = lay_out(station(bays), procedure(**texts), uses)
    expected = fewest(tracks, needs, uses, bays)
    if isinstance(plan, Impossible):
        assert expected == math.inf
        assert plan.reasons
    else:
        assert plan.changes == expected
        assert {turn.step for turn in plan.turns} == set(uses)
        wiped = [t for t in plan.turns if {Change.DRAIN, Change.WIPE} & set(t.changes)]
        assert len(wiped) == plan.changes


def test_a_first_rinse_lies_nearest_the_soiled_end_however_often_the_bath_is_used():
    often = procedure(a=["first", "soak", "brush", "wash"])
    uses = {"a.first": FIRST, "a.soak": SOAK, "a.brush": SOAK, "a.wash": SOAK}
    assert [bay for _, bay, _ in places(lay_out(station(3), often, uses))] == [
        "bay 1",
        "bay 2",
        "bay 2",
        "bay 2",
    ]


def test_a_bath_that_bears_the_name_of_a_water_is_no_water():
    base = procedure(a=["soak", "final"])
    named = replace(base, baths=(replace(base.baths[0], id="treated", name="treated bath"),))
    uses = {"a.soak": Use(Purpose.BATH, "treated"), "a.final": replace(FINAL, standing=True)}
    assert places(lay_out(station(1), named, uses)) == [
        ("a.soak", "bay 1", "fill"),
        ("a.final", "bay 1", "drain wipe fill"),
    ]


@settings(max_examples=100, deadline=None)
@given(small(), st.integers(1, 3))
def test_where_there_is_too_much_to_look_at_a_plan_is_followed_that_the_rules_allow(case, bays):
    tracks, needs, uses = case
    texts = {
        name: [s.partition(".")[2] + (f"<{needs[s]}" if s in needs else "") for s in steps]
        for name, steps in tracks.items()
    }
    whole = procedure(**texts)
    exact = lay_out(station(bays), whole, uses)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(searching, "MOST_WAYS", 0)
        followed = lay_out(station(bays), whole, uses)
    if isinstance(exact, Impossible):
        assert isinstance(followed, Impossible)
        assert followed.reasons[-1] == "There are too many orders to look at all of them."
    else:
        assert isinstance(followed, Plan)
        assert not followed.proven
        assert followed.changes >= exact.changes
        assert {turn.step for turn in followed.turns} == set(uses)


def test_a_hundred_uses_in_no_order_are_laid_out_within_ten_seconds():
    kinds = [FIRST, SOAK, OTHER, RINSE, replace(RINSE, standing=True), FINAL]
    uses = {
        f"{t}.{n}": kinds[(n * n + place * n + place) % len(kinds)]
        for place, t in enumerate("abcdefghij")
        for n in range(10)
    }
    whole = procedure(**{t: [str(n) for n in range(10)] for t in "abcdefghij"})
    began = time.process_time()
    lay_out(station(3, UTILITY, Tap(Water.TREATED)), whole, uses)
    assert time.process_time() - began < 10


def test_a_large_device_on_three_bays_is_laid_out_within_a_second():
    names = ["first", "soak", "brush", "rinse", "final"]
    uses = dict(zip(names, (FIRST, SOAK, SOAK, RINSE, FINAL), strict=True))
    whole = procedure(**dict.fromkeys("abcdefgh", names))
    began = time.process_time()
    plan = lay_out(
        station(3, UTILITY, POURED),
        whole,
        {f"{c}.{s}": u for c in "abcdefgh" for s, u in uses.items()},
    )
    assert isinstance(plan, Plan)
    assert time.process_time() - began < 1
