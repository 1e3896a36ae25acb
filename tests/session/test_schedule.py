"""The scheduler, against an exhaustive walk over a grid of seconds that shares no code with it."""

from __future__ import annotations

import functools
import itertools
import math
import time
from dataclasses import dataclass, field, replace
from datetime import timedelta

from bench import PROCEDURE, START, Bench
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.procedure.model import Act, Component, Dwell, DwellKind, Procedure, Step
from assistant.session.command import Verb
from assistant.session.hands import Move
from assistant.session.schedule import HandsOn, next_proposal, propose
from assistant.session.state import Progress, Running, State
from assistant.session.table import Phase, Stage


@dataclass
class Case:
    """A procedure, a state, and how long the hands are busy."""

    tracks: list[list[Step]]
    hands: dict[str, int]
    lift_s: int = 1
    running: dict[str, int] = field(default_factory=dict)
    focus: str = "a"

    @property
    def procedure(self) -> Procedure:
        names = "abcdefgh"
        return replace(
            PROCEDURE,
            baths=(),
            components=tuple(
                Component(names[n], f"part {names[n]}", "away", tuple(steps))
                for n, steps in enumerate(self.tracks)
            ),
        )

    @property
    def hands_on(self) -> HandsOn:
        return HandsOn(steps=self.hands, lift_s=self.lift_s)

    @property
    def state(self) -> State:
        progress = {}
        for steps in self.tracks:
            step = steps[0]
            if step.id in self.running:
                task = step.task
                started = START - timedelta(seconds=self.running[step.id])
                dwell = Running(
                    step.id[0], step.id, task.kind, started, task.least_s, task.most_s, ()
                )
                progress[step.id] = Progress(Stage.DWELLING, dwell=dwell)
        return State(focus=self.focus, progress=progress)

    def propose(self):
        return propose(self.procedure, self.state, START, self.hands_on)


def soak(least_s: int, most_s: int | None = None) -> Dwell:
    return Dwell(DwellKind.SOAK, least_s, most_s)


def step(name: str, task=None, needs: tuple[str, ...] = ()) -> Step:
    return Step(name, "say", f"do {name}", task=task or Act(), needs=needs)


def walk(case: Case) -> tuple[float, float, float]:
    """The least (overruns, seconds over, finish) of all ways through, second by second."""
    tracks = case.tracks
    lift = case.lift_s
    horizon = sum(
        case.hands[s.id] + (s.task.least_s + lift if isinstance(s.task, Dwell) else 0)
        for steps in tracks
        for s in steps
    )

    # A track's place: the step's index, and when its dwell began (None: not begun).
    @functools.cache
    def least(now: int, places: tuple[tuple[int, int | None], ...]) -> tuple[float, float, float]:
        if all(index == len(steps) for (index, _), steps in zip(places, tracks, strict=True)):
            return (0, 0, now)
        if now > horizon:
            return (math.inf, math.inf, math.inf)
        best = least(now + 1, places)
        behind = {
            s.id for (index, _), steps in zip(places, tracks, strict=True) for s in steps[:index]
        }
        for number, (index, began) in enumerate(places):
            if index == len(tracks[number]):
                continue
            here = tracks[number][index]
            late = 0
            if began is not None:
                if now < began + here.task.least_s:
                    continue
                most = here.task.most_s
                late = 0 if most is None else max(0, now - began - most)
                if late and not (index == 0 and here.id in case.running):
                    continue
                after, end = (index + 1, None), now + lift
            elif not behind.issuperset(here.needs):
                continue
            else:
                end = now + case.hands[here.id]
                after = (index, end) if isinstance(here.task, Dwell) else (index + 1, None)
            rest = least(end, (*places[:number], after, *places[number + 1 :]))
            best = min(best, (rest[0] + (late > 0), rest[1] + late, rest[2]))
        return best

    began = tuple(
        (0, -case.running[steps[0].id] if steps[0].id in case.running else None) for steps in tracks
    )
    return least(0, began)


@st.composite
def cases(draw: st.DrawFn) -> Case:
    tracks: list[list[Step]] = []
    hands: dict[str, int] = {}
    running: dict[str, int] = {}
    earlier: list[str] = []
    for name in "abc"[: draw(st.integers(1, 3))]:
        steps = []
        for number in range(draw(st.integers(1, 3 if name == "a" else 2))):
            task = Act()
            if draw(st.booleans()):
                least = draw(st.integers(1, 6))
                most = draw(st.one_of(st.none(), st.integers(least + 1, least + 3)))
                task = soak(least, most)
            needs = ()
            if earlier and draw(st.integers(0, 3)) == 0:
                needs = (draw(st.sampled_from(earlier)),)
            here = step(f"{name}.{number}", task, needs)
            hands[here.id] = draw(st.integers(0, 4))
            if number == 0 and isinstance(task, Dwell) and not needs and draw(st.booleans()):
                running[here.id] = draw(st.integers(0, 9))
            steps.append(here)
        earlier += [s.id for s in steps]
        tracks.append(steps)
    return Case(tracks, hands, draw(st.integers(0, 2)), running)


@settings(max_examples=150, deadline=None)
@given(cases())
def test_no_way_through_is_better_than_the_proposed_one(case):
    schedule = case.propose()
    over = [overrun.over_s for overrun in schedule.overruns]
    assert schedule.proven
    assert (len(over), sum(over), schedule.finish_s) == walk(case)


def played(case: Case, schedule) -> tuple[set[str], int]:
    """The steps whose most time passes and the finish, where the proposals are followed."""
    ready = {c.id: 0 for c in case.procedure.components}
    began = {name: -ago for name, ago in case.running.items()}
    behind: set[str] = set()
    tasks = {s.id: s for steps in case.tracks for s in steps}
    order = {s.id: steps.index(s) for steps in case.tracks for s in steps}
    now, late = 0, set()
    for proposal in schedule.proposals:
        here = tasks[proposal.step]
        assert proposal.start_s >= max(now, ready[proposal.component])
        now = proposal.start_s
        mates = [s.id for s in case.tracks["abcdefgh".index(proposal.component)]]
        if proposal.move is Move.LIFT:
            lain = now - began[here.id]
            assert lain >= here.task.least_s
            if here.task.most_s is not None and lain > here.task.most_s:
                late.add(here.id)
            now += case.lift_s
            behind.add(here.id)
        else:
            assert behind.issuperset({*here.needs, *mates[: order[here.id]]})
            now += case.hands[here.id]
            if proposal.move is Move.START:
                began[here.id] = now
            else:
                behind.add(here.id)
        ready[proposal.component] = now
    assert behind == set(tasks)
    return late, now


@settings(max_examples=150, deadline=None)
@given(cases())
def test_the_proposals_can_be_followed_and_overrun_only_what_they_say(case):
    schedule = case.propose()
    late, end = played(case, schedule)
    assert late == {overrun.step for overrun in schedule.overruns}
    assert end == schedule.finish_s
    assert late <= set(case.running)


@st.composite
def large(draw: st.DrawFn, count: int = 6, each: int = 6) -> Case:
    """As at a sink: acts of half a minute, soaks of minutes with a most time."""
    tracks, hands, earlier = [], {}, []
    for name in "abcdefgh"[:count]:
        steps = []
        for number in range(each):
            task = Act()
            if draw(st.integers(0, 2)) == 0:
                least = draw(st.integers(1, 10)) * 60
                most = draw(st.sampled_from([None, least + 60, least + 300]))
                task = soak(least, most)
            needs = (draw(st.sampled_from(earlier)),) if earlier and number == 1 else ()
            steps.append(step(f"{name}.{number}", task, needs))
            hands[f"{name}.{number}"] = draw(st.integers(5, 90))
        earlier += [s.id for s in steps[:2]]
        tracks.append(steps)
    return Case(tracks, hands, 10)


@settings(max_examples=20, deadline=None)
@given(large())
def test_six_tracks_are_ordered_without_an_overrun(case):
    late, end = played(case, schedule := case.propose())
    assert not late
    assert end == schedule.finish_s


@settings(max_examples=25, deadline=None)
@given(
    large(), st.lists(st.tuples(st.integers(0, 200), st.integers(10, 90)), min_size=1, max_size=4)
)
def test_of_the_running_soaks_as_many_are_kept_as_any_order_of_lifting_keeps(case, lying):
    for track, (ago, room) in zip(case.tracks, lying, strict=False):
        track[0] = replace(track[0], task=soak(100, 100 + room), needs=())
        case.running[track[0].id] = ago
    case.lift_s = 30

    def overruns(order) -> tuple[int, int]:
        now, late = 0, []
        for ago, room in order:
            now = max(now, 100 - ago)
            late.append(max(0, now + ago - 100 - room))
            now += case.lift_s
        return sum(over > 0 for over in late), sum(late)

    schedule = case.propose()
    late, _ = played(case, schedule)
    told = [overrun.over_s for overrun in schedule.overruns]
    assert len(late) == len(told)
    assert (len(told), sum(told)) == min(map(overruns, itertools.permutations(lying)))


@settings(max_examples=3, deadline=None)
@given(large(count=8, each=30))
def test_more_than_can_be_searched_is_still_ordered_without_an_overrun(case):
    began = time.process_time()
    late, _ = played(case, case.propose())
    assert not late
    assert time.process_time() - began < 3


def test_a_start_is_put_off_where_its_lifting_would_come_too_late():
    """B laid in at 0 must be out at 12 at the latest; it is, and A after it, at no cost.

    With A due to be lifted from 12 to 12 s, B cannot come out in time: its start waits.
    """
    tracks = [[step("a.0", soak(20, 21))], [step("b.0", soak(10, 11))]]
    case = Case(tracks, {"a.0": 1, "b.0": 1}, lift_s=8, running={"a.0": 9}, focus="b")
    schedule = case.propose()
    assert [(p.step, p.move, p.start_s) for p in schedule.proposals] == [
        ("b.0", Move.START, 7),
        ("a.0", Move.LIFT, 11),
        ("b.0", Move.LIFT, 19),
    ]


def test_the_longest_soak_is_started_first_whatever_the_order_of_the_parts():
    case = Case(
        [
            [step("a.0"), step("a.1")],
            [step("b.0", soak(60, 120)), step("b.1")],
            [step("c.0", soak(600, 900)), step("c.1")],
        ],
        {"a.0": 40, "a.1": 40, "b.0": 10, "b.1": 40, "c.0": 10, "c.1": 40},
    )
    first, second = case.propose().proposals[:2]
    assert (first.step, first.move) == ("c.0", Move.START)
    assert second.start_s == 10


def test_a_tie_goes_to_the_component_in_hand():
    tracks = [[step("a.0")], [step("b.0")]]
    for focus in "ab":
        case = Case(tracks, {"a.0": 5, "b.0": 5}, focus=focus)
        assert case.propose().proposals[0].component == focus


def test_a_dwell_that_holds_the_hands_is_not_left_alone():
    rinse = step("a.0", Dwell(DwellKind.RINSE, 60))
    case = Case([[rinse], [step("b.0")]], {"a.0": 5, "b.0": 30})
    alone = case.propose()
    held = propose(
        case.procedure, case.state, START, replace(case.hands_on, attended={DwellKind.RINSE})
    )
    assert (alone.finish_s, held.finish_s) == (66, 95)
    assert [p.move for p in held.proposals] == [Move.START, Move.DO]


def test_a_running_dwell_that_holds_the_hands_ends_before_anything_else_can():
    rinse = step("a.0", Dwell(DwellKind.RINSE, 60))
    case = Case([[rinse], [step("b.0")]], {"a.0": 5, "b.0": 30}, running={"a.0": 20})
    held = propose(
        case.procedure, case.state, START, replace(case.hands_on, attended={DwellKind.RINSE})
    )
    assert held.finish_s == 40 + 1 + 30


def test_a_closed_session_proposes_nothing():
    state = State(phase=Phase.SIGNED_OFF)
    schedule = propose(PROCEDURE, state, START)
    assert (schedule.proposals, schedule.reason, schedule.finish_s) == ((), None, 0)
    assert next_proposal(PROCEDURE, state, START) is None


def test_a_session_whose_tracks_are_finished_proposes_nothing(bench: Bench):
    bench.to_end()
    assert next_proposal(PROCEDURE, bench.state, bench.at) is None


def reason(bench: Bench) -> tuple[str, str, dict[str, str]]:
    found = next_proposal(PROCEDURE, bench.state, bench.at)
    assert found is not None
    proposal, prompt = found
    return proposal.step, prompt.key, {slot.name: slot.text for slot in prompt.slots}


def test_what_others_wait_for_is_proposed_with_who_waits(bench: Bench):
    bench.brief(Verb.NEXT)
    bench.say(Verb.LOT, "A37")
    bench.say(Verb.AFFIRM)
    step_id, key, slots = reason(bench)
    assert (step_id, key, slots["other"]) == ("tube.warm", "propose_needed", "rod")


def test_a_soak_is_proposed_because_it_then_runs_by_itself(bench: Bench):
    bench.to_soak()
    step_id, key, slots = reason(bench)
    assert (step_id, key, slots["least"]) == ("tube.soak", "propose_start", "5 min")


def test_while_a_soak_runs_another_component_is_proposed(bench: Bench):
    bench.to_soak()
    bench.say(Verb.START_SOAK)
    step_id, key, slots = reason(bench)
    assert (step_id, key) == ("rod.rinse", "propose_meanwhile")
    assert (slots["other"], slots["left"]) == ("tube", "5 min")


def test_a_ripe_soak_is_proposed_with_the_time_that_it_may_still_lie(bench: Bench):
    bench.to_soak()
    bench.say(Verb.START_SOAK)
    bench.pass_time(870)
    step_id, key, slots = reason(bench)
    assert (step_id, key, slots["left"]) == ("tube.soak", "propose_lift_in_time", "30 s")


def test_an_overdue_soak_comes_before_everything_and_is_told(bench: Bench):
    bench.to_soak()
    bench.say(Verb.START_SOAK)
    bench.pass_time(960)
    step_id, key, slots = reason(bench)
    assert (step_id, key, slots["over"]) == ("tube.soak", "propose_lift_overdue", "1 min")
    (overrun,) = propose(PROCEDURE, bench.state, bench.at).overruns
    assert (overrun.step, overrun.over_s) == ("tube.soak", 60)


def test_waiting_is_proposed_only_where_nothing_can_be_done():
    case = Case([[step("a.0", soak(60)), step("a.1")]], {"a.0": 5, "a.1": 5}, running={"a.0": 20})
    found = next_proposal(case.procedure, case.state, START, case.hands_on)
    assert found is not None
    proposal, prompt = found
    assert (proposal.start_s, prompt.key) == (40, "propose_wait")
    assert prompt.slots[-1].text == "40 s"


def test_what_is_behind_a_step_taken_back_still_counts_as_behind(bench: Bench):
    """The rod's soak needs the tube's reading, which was done; going back unlocks nothing twice."""
    bench.to_soak()
    bench.say(Verb.GO_BACK)
    steps = [p.step for p in propose(PROCEDURE, bench.state, bench.at).proposals]
    assert steps.count("tube.warm") == 1
    assert steps.index("tube.warm") < steps.index("rod.soak")
