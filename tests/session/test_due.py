from datetime import timedelta

import pytest
from bench import Bench, names

from assistant.session import event as ev
from assistant.session.command import Verb
from assistant.session.due import milestones, next_due, time_events
from assistant.session.table import Stage


@pytest.mark.parametrize(
    ("least_s", "left"),
    [(600, (300, 60)), (120, (60,)), (150, (75, 60)), (90, (60,)), (89, ()), (30, ()), (1, ())],
)
def test_half_and_the_last_minute_are_announced_where_they_are_worth_it(least_s, left):
    assert milestones(least_s) == left


def test_a_soak_is_announced_at_its_milestones_its_end_and_its_most_time(bench):
    bench.to_soak()
    bench.say(Verb.START_SOAK)
    seen = []
    for _ in range(4):
        due = next_due(bench.state)
        at = (due - bench.state.running()[0].started_at).total_seconds()
        bench.at = due
        seen.append((at, names(bench.pass_time(0))))
    assert seen == [
        (150, ["DwellMilestone"]),
        (240, ["DwellMilestone"]),
        (300, ["DwellRipe"]),
        (900, ["DwellOverdue"]),
    ]
    assert next_due(bench.state) is None
    assert [key for key in bench.new_prompts() if key != "offer"] == [
        "soak_started_with_most",
        "soak_milestone",
        "soak_milestone",
        "soak_ripe_with_most",
        "end_here",
        "soak_overdue",
        "end_here",
    ]


def test_what_fell_due_during_a_long_silence_is_told_once(bench):
    bench.to_soak()
    bench.say(Verb.START_SOAK)
    assert names(bench.pass_time(1000)) == ["DwellRipe", "DwellOverdue"]


def test_a_late_end_says_how_long_ago(bench):
    bench.to_soak()
    bench.say(Verb.START_SOAK)
    bench.new_prompts()
    bench.pass_time(306)
    assert bench.new_prompts() == ["soak_ripe_late", "end_here"]


def test_the_end_of_a_timer_without_a_most_time_is_said_without_one(bench):
    bench.to_look()
    ripe = [event for event in bench.events if isinstance(event, ev.DwellRipe)]
    assert [event.left_s for event in ripe] == [500, None]


def test_time_passing_twice_brings_nothing_twice(bench):
    bench.to_soak()
    bench.say(Verb.START_SOAK)
    bench.pass_time(300)
    assert time_events(bench.state, bench.at) == ()


def test_ends_of_two_soaks_come_in_the_order_of_their_due_times():
    bench = Bench()
    bench.to_soak()
    bench.say(Verb.START_SOAK)
    bench.say(Verb.SWITCH, "rod")
    bench.say(Verb.NEXT)
    bench.say(Verb.START_SOAK)
    ripe = [event.component for event in bench.pass_time(400) if isinstance(event, ev.DwellRipe)]
    assert ripe == ["rod", "tube"]


def test_a_reading_taken_while_another_part_soaks_sees_the_soak_end_first(bench):
    bench.to_soak()
    bench.say(Verb.START_SOAK)
    events = bench.say(Verb.NEXT, after=300)
    assert names(events) == ["DwellRipe", "DwellEnded", "StepCompleted", "StepEntered"]
    assert bench.state.progress["tube.soak"].stage is Stage.DONE


def test_due_times_are_facts_and_survive_any_wait(bench):
    bench.to_soak()
    bench.say(Verb.START_SOAK)
    dwell = bench.state.running()[0]
    assert dwell.least_at - dwell.started_at == timedelta(seconds=300)
    assert dwell.most_at - dwell.started_at == timedelta(seconds=900)
