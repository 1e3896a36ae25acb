"""An emergency interrupts everything; its flush is 15 min (ANSI/ISEA Z358.1, read in mirrors)."""

from datetime import timedelta

import pytest
from bench import Bench, names

from assistant.grammar.pack import load
from assistant.session import event as ev
from assistant.session.command import Command, Reopened, Said, Verb
from assistant.session.due import next_due
from assistant.session.effect import Hush, Say
from assistant.session.refusal import Refusal
from assistant.session.table import Phase
from assistant.session.track import sayable
from assistant.speaking.line import line


@pytest.fixture
def splashed(bench):
    bench.to_soak()
    bench.say(Verb.START_SOAK)
    bench.new_prompts()
    bench.say(Verb.EMERGENCY, "eyes")
    return bench


def test_it_silences_whatever_is_said_and_gives_first_aid_for_the_part_of_the_body(splashed):
    assert Hush() in splashed.effects
    assert splashed.new_prompts() == ["first_aid_eyes", "exposure_plan"]
    assert splashed.state.phase is Phase.EMERGENCY


@pytest.mark.parametrize("body", ["eyes", "face", "skin", "sharps injury"])
def test_every_part_of_the_body_has_its_first_aid(bench, body):
    bench.say(Verb.EMERGENCY, body)
    assert f"first_aid_{body.replace(' ', '_')}" in bench.new_prompts()


# 29 CFR 1910.151(c): quick drenching where eyes may meet corrosives; ANSI/ISEA Z358.1: 15 min.
def test_eyes_are_sent_to_the_eyewash_at_once_and_for_how_long(splashed):
    prompts = [
        prompt
        for effect in splashed.effects
        if isinstance(effect, Say)
        for prompt in effect.prompts
        if prompt.key == "first_aid_eyes"
    ]
    (shown,) = [line(load("en"), prompt).shown for prompt in prompts]
    assert "eyewash now" in shown
    assert "15 min" in shown


def test_it_comes_before_a_question_a_pause_and_another_emergency(bench):
    bench.say(Verb.ABANDON)
    bench.say(Verb.EMERGENCY, "skin")
    assert bench.state.pending is None
    bench.say(Verb.EMERGENCY, "eyes")
    assert bench.state.emergency.body == "eyes"
    bench.say(Verb.DENY)
    bench.say(Verb.PAUSE)
    bench.say(Verb.EMERGENCY, "sharps injury")
    assert bench.state.phase is Phase.EMERGENCY


def test_it_is_heard_even_when_it_was_called_before_the_last_announcement(bench):
    bench.at += timedelta(seconds=1)
    before = bench.at - timedelta(seconds=9)
    called = Said(Command(Verb.EMERGENCY, "eyes"), "splash in the eyes", before)
    assert "EmergencyCalled" in names(bench.give(called))


def test_soaks_go_on_and_are_announced_meanwhile(splashed):
    assert "DwellRipe" in names(splashed.pass_time(300))
    assert splashed.state.phase is Phase.EMERGENCY


def test_work_is_refused_meanwhile_and_questions_are_answered(splashed):
    assert splashed.say(Verb.NEXT)[0].reason == Refusal.PHASE_EMERGENCY
    splashed.new_prompts()
    splashed.say(Verb.HOW_LONG)
    assert splashed.new_prompts() == ["flush_left", "timer_left"]


# 14:59 keep flushing, 15:00 may stop and seek care (check value of the standard).
@pytest.mark.parametrize(("seconds", "over"), [(899, False), (900, True)])
def test_the_flush_may_end_at_fifteen_minutes_and_not_a_second_before(seconds, over):
    bench = Bench()
    bench.say(Verb.EMERGENCY, "eyes")
    events = bench.say(Verb.RESUME, after=seconds)
    assert ("EmergencyEnded" in names(events)) is over
    if not over:
        assert (events[-1].reason, events[-1].about) == (Refusal.FLUSHING, "1 s")
        assert Verb.RESUME not in sayable_now(bench)


def sayable_now(bench):
    from bench import PROCEDURE  # noqa: PLC0415 - the fixture's own module

    return sayable(PROCEDURE, bench.state)


def test_the_flush_is_announced_on_the_way_and_at_its_end(bench):
    bench.say(Verb.EMERGENCY, "skin")
    called = bench.at
    seen = []
    for _ in range(4):
        bench.at = next_due(bench.state)
        seen += [((bench.at - called).total_seconds(), *names(bench.pass_time(0)))]
    assert seen == [
        (300, "FlushMilestone"),
        (600, "FlushMilestone"),
        (840, "FlushMilestone"),
        (900, "FlushDone"),
    ]
    assert next_due(bench.state) is None
    assert bench.new_prompts()[-1] == "flush_done"
    bench.say(Verb.HOW_LONG)
    assert bench.new_prompts() == ["flush_done"]
    assert sayable_now(bench)[0] is Verb.RESUME


def test_after_a_long_silence_only_the_end_of_the_flush_is_told(bench):
    bench.say(Verb.EMERGENCY, "skin")
    assert names(bench.pass_time(2000)) == ["FlushDone"]


def test_a_cut_is_not_flushed_by_the_clock(bench):
    bench.say(Verb.EMERGENCY, "sharps injury")
    assert next_due(bench.state) is None
    bench.new_prompts()
    bench.say(Verb.HOW_LONG)
    assert bench.new_prompts() == ["no_timer"]
    assert Verb.RESUME in sayable_now(bench)
    assert "EmergencyEnded" in names(bench.say(Verb.RESUME))


def test_a_false_alarm_is_recorded_and_work_goes_on_with_its_cautions_said_again(bench):
    bench.say(Verb.EMERGENCY, "eyes")
    bench.new_prompts()
    ended = bench.say(Verb.DENY)
    assert names(ended) == ["EmergencyEnded", "StepEntered"]
    assert ended[0].false_alarm
    assert bench.new_prompts() == ["false_alarm", "caution", "step_act"]


def test_a_session_reopened_in_an_emergency_is_still_in_it(splashed):
    splashed.new_prompts()
    assert names(splashed.give(Reopened())) == ["SessionReopened"]
    assert splashed.new_prompts() == ["reopened", "flush_left", "timer_left", "emergency"]


def test_a_late_milestone_of_an_emergency_that_is_over_changes_nothing(bench):
    from assistant.session.evolve import evolve  # noqa: PLC0415 - one test only

    after = evolve(bench.state, ev.FlushMilestone(bench.at, 60))
    assert after.emergency is None
