"""The scheduler, against an exhaustive walk over a grid of seconds that shares no code with it."""

from __future__ import annotations

import functools
import itertools
import math
import time
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from bench import PROCEDURE, START, Bench
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.procedure.model import (
    Act,
    Component,
    Dwell,
    DwellKind,
    InspectionTask,
    Procedure,
    Step,
    TallyKind,
    TallyTask,
    When,
)
from assistant.procedure.water_use import Purpose, Use
from assistant.session.command import Verb
from assistant.session.hands import Move
from assistant.session.schedule import HandsOn, next_proposal, propose
from assistant.session.state import Progress, Running, State
from assistant.session.table import Phase, Stage

if TYPE_CHECKING:
    from collections.abc import Iterator


@dataclass
class Case:
    """A procedure, a state, and how long the hands are busy."""

    tracks: list[list[Step]]
    hands: dict[str, int]
    lift_s: int = 1
    running: dict[str, int] = field(default_factory=dict)
    focus: str = "a"
    spare_s: int = 0

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
        return HandsOn(steps=self.hands, lift_s=self.lift_s, spare_s=self.spare_s)

    @property
    def state(self) -> State:
        progress = {}
        for steps in self.tracks:
            step = steps[0]
            if step.id in self.running:
                started = START - timedelta(seconds=self.running[step.id])
                progress[step.id] = Progress(Stage.DWELLING, dwell=began(step, started))
        return State(focus=self.focus, progress=progress)

    def propose(self):
        return propose(self.procedure, self.state, START, self.hands_on)

    def spare(self, task: Dwell) -> int:
        """What is to be kept free before the most time, reckoned anew."""
        return min(self.spare_s, (task.most_s - task.least_s) // 2)


def began(step: Step, at: datetime) -> Running:
    task = step.task
    return Running(step.id[0], step.id, task.kind, at, task.least_s, task.most_s, ())


def soak(least_s: int, most_s: int | None = None) -> Dwell:
    return Dwell(DwellKind.SOAK, least_s, most_s)


def step(name: str, task=None, needs: tuple[str, ...] = (), **more) -> Step:
    return Step(name, "say", f"do {name}", task=task or Act(), needs=needs, **more)


def in_hand(step: Step) -> bool:
    return isinstance(step.task, Dwell) and step.task.kind is not DwellKind.SOAK


def walk(case: Case) -> tuple[float, ...]:  # noqa: C901 - the rules in one place
    """The least (overruns, seconds over, spare time lost, finish) of all ways through.

    Second by second.  What was lost so far is part of a place: the most counts, not the sum.
    """
    tracks = case.tracks
    lift = case.lift_s
    horizon = sum(
        case.hands[s.id] + (s.task.least_s + lift if isinstance(s.task, Dwell) else 0)
        for steps in tracks
        for s in steps
    )

    def lost_by(now: int, place: tuple[int, int | None], steps: list[Step]) -> bool:
        index, began = place
        if began is None or (index == 0 and steps[0].id in case.running):
            return False
        task = steps[index].task
        return task.most_s is not None and now > began + task.most_s - case.spare(task)

    def ripe(now: int, place: tuple[int, int | None], steps: list[Step]) -> tuple[int, int | None]:
        index, began = place
        if began is None or steps[index].task.most_s is not None:
            return place
        return index, max(began, now - steps[index].task.least_s)

    # A track's place: the step's index, and when its dwell began (None: not begun).
    @functools.cache
    def least(  # noqa: C901 - the rules in one place
        now: int, places: tuple[tuple[int, int | None], ...], lost: int
    ) -> tuple[float, float, float, float]:
        if all(index == len(steps) for (index, _), steps in zip(places, tracks, strict=True)):
            return (0, 0, lost, now)
        if now > horizon or any(
            lost_by(now, place, steps) for place, steps in zip(places, tracks, strict=True)
        ):
            return (math.inf,) * 4
        # A soak that may lie for ever is as good as one that has just become ripe.
        known = tuple(ripe(now, place, steps) for place, steps in zip(places, tracks, strict=True))
        if known != places:
            return least(now, known, lost)
        # Where nothing lies anywhere, waiting only makes all later.
        waits = any(began is not None for _, began in places)
        best = least(now + 1, places, lost) if waits else (math.inf,) * 4
        behind = {
            s.id for (index, _), steps in zip(places, tracks, strict=True) for s in steps[:index]
        }
        for number, (index, began) in enumerate(places):
            if index == len(tracks[number]):
                continue
            here = tracks[number][index]
            late, less = 0, lost
            if began is not None:
                if now < began + here.task.least_s:
                    continue
                if here.task.most_s is not None:
                    past = now - began - here.task.most_s
                    late, less = max(0, past), max(lost, past + case.spare(here.task))
                after, end = (index + 1, None), now + lift
            elif not behind.issuperset(here.needs):
                continue
            elif in_hand(here):
                end = now + case.hands[here.id] + here.task.least_s + lift
                after = (index + 1, None)
            else:
                end = now + case.hands[here.id]
                after = (index, end) if isinstance(here.task, Dwell) else (index + 1, None)
            rest = least(end, (*places[:number], after, *places[number + 1 :]), less)
            best = min(best, (rest[0] + (late > 0), rest[1] + late, *rest[2:]))
        return best

    places = tuple(
        (0, -case.running[steps[0].id] if steps[0].id in case.running else None) for steps in tracks
    )
    return least(0, places, 0)


@st.composite
def cases(draw: st.DrawFn) -> Case:
    tracks: list[list[Step]] = []
    hands: dict[str, int] = {}
    running: dict[str, int] = {}
    earlier: list[str] = []
    for name in "abc"[: draw(st.integers(1, 3))]:
        steps = []
        for number in range(draw(st.integers(1, {"a": 3, "b": 2, "c": 1}[name]))):
            task = Act()
            kind = draw(st.sampled_from(["act", "soak", "soak", "rinse"]))
            if kind == "soak":
                least = draw(st.integers(1, 5))
                most = draw(st.one_of(st.none(), st.integers(least + 1, least + 3)))
                task = soak(least, most)
            elif kind == "rinse":
                task = Dwell(DwellKind.RINSE, draw(st.integers(1, 3)))
            needs = ()
            if earlier and draw(st.integers(0, 3)) == 0:
                needs = (draw(st.sampled_from(earlier)),)
            here = step(f"{name}.{number}", task, needs)
            hands[here.id] = draw(st.integers(0, 3))
            if number == 0 and kind == "soak" and not needs and draw(st.booleans()):
                running[here.id] = draw(st.integers(0, 7))
            steps.append(here)
        earlier += [s.id for s in steps]
        tracks.append(steps)
    lift_s, spare_s = draw(st.integers(0, 2)), draw(st.integers(0, 2))
    return Case(tracks, hands, lift_s, running, spare_s=spare_s)


def lost(case: Case, schedule) -> int:
    """The most that a lifting loses of its spare time, of the soaks that run already."""
    tasks = {steps[0].id: steps[0].task for steps in case.tracks}
    return max(
        (
            max(0, p.start_s + case.running[p.step] - tasks[p.step].most_s + case.spare(task))
            for p in schedule.proposals
            if p.step in case.running and (task := tasks[p.step]).most_s is not None
        ),
        default=0,
    )


@settings(max_examples=150, deadline=None)
@given(cases())
def test_no_way_through_is_better_than_the_proposed_one(case):
    schedule = case.propose()
    over = [overrun.over_s for overrun in schedule.overruns]
    assert schedule.proven
    assert (len(over), sum(over), lost(case, schedule), schedule.finish_s) == walk(case)


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
            if here.task.most_s is not None:
                if lain > here.task.most_s:
                    late.add(here.id)
                if here.id not in case.running:
                    assert lain <= here.task.most_s - case.spare(here.task)
            now += case.lift_s
            behind.add(here.id)
        else:
            assert behind.issuperset({*here.needs, *mates[: order[here.id]]})
            now += case.hands[here.id]
            if proposal.move is Move.DO:
                behind.add(here.id)
            elif in_hand(here):
                now += here.task.least_s + case.lift_s
                behind.add(here.id)
            else:
                began[here.id] = now
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


@dataclass
class Technician:
    """Asks what to do, does it, and asks again, with the stated times or slower ones."""

    case: Case
    slower: Iterator[int] = field(default_factory=lambda: itertools.repeat(0))
    at: datetime = START
    late: dict[str, int] = field(default_factory=dict)

    def work(self) -> int:
        """Seconds until all is done; how late each soak was lifted is in ``late``."""
        state = self.case.state
        while self._next(state) is not None:
            state = self._next_state
        return round((self.at - START).total_seconds())

    def _next(self, state: State):
        case = self.case
        found = next_proposal(case.procedure, state, self.at, case.hands_on)
        if found is None:
            return None
        proposal, _ = found
        here = next(s for steps in case.tracks for s in steps if s.id == proposal.step)
        self.at += timedelta(seconds=proposal.start_s)
        progress = Progress(Stage.DONE)
        if proposal.move is Move.LIFT:
            dwell = state.progress[here.id].dwell
            assert self.at >= dwell.least_at
            if dwell.most_at is not None and self.at > dwell.most_at:
                self.late[here.id] = round((self.at - dwell.most_at).total_seconds())
            self.pass_s(case.lift_s)
        else:
            self.pass_s(case.hands[here.id])
            if proposal.move is Move.START and not in_hand(here):
                progress = Progress(Stage.DWELLING, dwell=began(here, self.at))
            elif proposal.move is Move.START:
                self.pass_s(here.task.least_s + case.lift_s)
        position = dict(state.position)
        if progress.stage is Stage.DONE:
            position[proposal.component] = position.get(proposal.component, 0) + 1
        self._next_state = replace(
            state,
            focus=proposal.component,
            position=position,
            progress={**state.progress, here.id: progress},
        )
        return proposal

    def pass_s(self, seconds: int) -> None:
        self.at += timedelta(seconds=seconds + next(self.slower))


@settings(max_examples=100, deadline=None)
@given(cases())
def test_who_follows_what_is_proposed_loses_no_soak_that_some_way_through_keeps(case):
    technician = Technician(case)
    finish = technician.work()
    late = technician.late
    assert (len(late), sum(late.values())) == walk(case)[:2]
    assert finish == case.propose().finish_s
    assert set(late) <= set(case.running)


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


@settings(max_examples=15, deadline=None)
@given(large(count=4, each=4), st.lists(st.integers(0, 60), min_size=1, max_size=9))
def test_hands_that_are_slower_by_less_than_the_time_to_spare_lose_no_soak(case, slower):
    case.spare_s = 60
    for steps in case.tracks:
        for number, here in enumerate(steps):
            if isinstance(here.task, Dwell) and here.task.most_s is not None:
                task = soak(
                    here.task.least_s,
                    here.task.least_s + max(120, here.task.most_s - here.task.least_s),
                )
                steps[number] = replace(here, task=task)
    left, slow = 60, []
    for seconds in slower:
        slow.append(min(left, seconds))
        left -= slow[-1]
    technician = Technician(case, itertools.chain(slow, itertools.repeat(0)))
    technician.work()
    assert not technician.late


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


def test_a_rinse_a_short_drying_and_a_pressure_hold_are_not_left_alone():
    for kind in (DwellKind.RINSE, DwellKind.DRY, DwellKind.HOLD):
        case = Case([[step("a.0", Dwell(kind, 60))], [step("b.0")]], {"a.0": 5, "b.0": 30})
        schedule = case.propose()
        assert schedule.finish_s == 5 + 60 + case.lift_s + 30
        assert Move.LIFT not in [p.move for p in schedule.proposals]


def test_a_long_drying_and_a_rinse_in_a_filled_bay_are_left_to_themselves():
    standing = Use(Purpose.FINAL_RINSE, standing=True)
    long = step("a.0", Dwell(DwellKind.DRY, 600))
    bay = step("a.0", Dwell(DwellKind.RINSE, 60), use=standing)
    running = replace(bay, use=Use(Purpose.FINAL_RINSE))
    for left, finish in ((long, 5 + 600 + 1), (bay, 5 + 60 + 1), (running, 5 + 60 + 1 + 30)):
        case = Case([[left], [step("b.0")]], {"a.0": 5, "b.0": 30})
        assert case.propose().finish_s == finish


def test_what_is_in_the_hands_ends_before_anything_else_begins():
    rinse = step("a.0", Dwell(DwellKind.RINSE, 60))
    tracks = [[rinse], [step("b.0", soak(600)), step("b.1")]]
    case = Case(tracks, {"a.0": 5, "b.0": 30, "b.1": 9}, running={"a.0": 20})
    first, second = (schedule := case.propose()).proposals[:2]
    assert (first.step, first.move, first.start_s) == ("a.0", Move.LIFT, 0)
    assert (second.step, second.start_s) == ("b.0", 40 + 1)
    assert (schedule.reason.key, schedule.reason.slots[-1].text) == ("propose_hold", "40 s")


def test_a_rinse_whose_part_was_left_is_not_in_the_hands():
    rinse = step("a.0", Dwell(DwellKind.RINSE, 60))
    case = Case([[rinse], [step("b.0")]], {"a.0": 5, "b.0": 30}, running={"a.0": 20}, focus="b")
    assert [(p.step, p.start_s) for p in case.propose().proposals] == [("b.0", 0), ("a.0", 40)]


def test_a_soak_that_would_overrun_comes_before_what_is_in_the_hands():
    rinse = step("a.0", Dwell(DwellKind.RINSE, 60))
    case = Case(
        [[rinse], [step("b.0", soak(100, 130))]],
        {"a.0": 5, "b.0": 5},
        running={"a.0": 20, "b.0": 110},
    )
    assert case.propose().proposals[0].step == "b.0"
    assert not case.propose().overruns


def test_nothing_is_begun_that_would_lose_the_time_to_spare_before_a_most_time():
    """A is ripe in 5 s and must be out in 165 s at the latest; B takes 120 s of those."""
    tracks = [[step("a.0", soak(540, 700)), step("a.1", needs=("b.0",))], [step("b.0")]]
    hands = {"a.0": 5, "a.1": 5, "b.0": 120}
    for spare_s, first in ((0, "b.0"), (45, "b.0"), (46, "a.0"), (60, "a.0")):
        case = Case(tracks, hands, running={"a.0": 535}, focus="b", spare_s=spare_s)
        assert case.propose().proposals[0].step == first, spare_s


def test_hands_are_kept_free_where_nothing_fits_before_a_lifting():
    """C would take 45 s, and A, ripe in 5 s, loses its time to spare after 15 s."""
    tracks = [[step("a.0", soak(300, 370))], [step("b.0")]]
    case = Case(tracks, {"a.0": 5, "b.0": 45}, running={"a.0": 295}, focus="b", spare_s=60)
    found = next_proposal(case.procedure, case.state, START, case.hands_on)
    assert found is not None
    proposal, prompt = found
    assert (proposal.step, proposal.start_s) == ("a.0", 5)
    assert (prompt.key, prompt.slots[-1].text) == ("propose_stay_free_to_end", "5 s")


def test_a_narrow_window_keeps_half_of_itself_to_spare():
    assert HandsOn().spare(300, 900) == 60
    assert HandsOn().spare(300, 361) == 30
    assert HandsOn().spare(300, 301) == 0


def test_counted_passes_take_their_time_and_those_made_do_not_count_again():
    brushing = step("a.0", TallyTask(TallyKind.PASS, 6))
    hands_on = HandsOn()
    assert hands_on.of(brushing) == hands_on.say_s + 6 * hands_on.once_s
    case = Case([[brushing]], {})
    state = State(focus="a", progress={"a.0": Progress(Stage.READY, count=4)})
    left = propose(case.procedure, state, START).finish_s
    assert left == hands_on.say_s + 2 * hands_on.once_s
    assert hands_on.of(brushing, 9) == hands_on.say_s
    assert hands_on.of(step("a.0", InspectionTask("soil", "10x"))) == hands_on.look_s


def test_a_step_for_delayed_processing_is_planned_only_where_it_applies():
    tracks = [
        [step("a.0"), step("a.1", soak(600), when=When.DELAYED), step("a.2", needs=("b.0",))],
        [step("b.0", needs=("a.1",))],
    ]
    case = Case(tracks, {"a.0": 5, "a.1": 5, "a.2": 5, "b.0": 5})
    on_time = case.propose()
    assert [p.step for p in on_time.proposals] == ["a.0", "b.0", "a.2"]
    assert on_time.finish_s == 15
    late = propose(case.procedure, State(focus="a", delayed=True), START, case.hands_on)
    assert [p.step for p in late.proposals] == ["a.0", "a.1", "a.1", "b.0", "a.2"]


def test_a_step_that_needs_what_does_not_apply_waits_for_what_is_before_that():
    """At the beginning of a track there is nothing before it, and nothing is waited for."""
    tracks = [[step("a.0", when=When.DELAYED), step("a.1")], [step("b.0", needs=("a.0",))]]
    case = Case(tracks, {"a.0": 5, "a.1": 5, "b.0": 5}, focus="b")
    assert [p.step for p in case.propose().proposals] == ["b.0", "a.1"]


def test_what_did_not_arrive_is_neither_planned_nor_waited_for():
    tracks = [[step("a.0")], [step("b.0", needs=("a.0",))]]
    case = Case(tracks, {"a.0": 5, "b.0": 5}, focus="b")
    state = replace(case.state, position={"a": 1}, absent=frozenset({"a"}))
    proposals = propose(case.procedure, state, START, case.hands_on).proposals
    assert [p.step for p in proposals] == ["b.0"]


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
    assert (proposal.start_s, prompt.key) == (40, "propose_wait_to_end")
    assert prompt.slots[-1].text == "40 s"


def test_what_is_behind_a_step_taken_back_still_counts_as_behind(bench: Bench):
    """The rod's soak needs the tube's reading, which was done; going back unlocks nothing twice."""
    bench.to_soak()
    bench.say(Verb.GO_BACK)
    steps = [p.step for p in propose(PROCEDURE, bench.state, bench.at).proposals]
    assert steps.count("tube.warm") == 1
    assert steps.index("tube.warm") < steps.index("rod.soak")
