from datetime import timedelta

from bench import Bench, names

from assistant.session import event as ev
from assistant.session.command import Command, PromptEnded, Said, Verb
from assistant.session.refusal import Refusal
from assistant.session.table import Phase, Stage


def reasons(events):
    return [event.reason for event in events if isinstance(event, ev.CommandRefused)]


def test_next_is_refused_until_the_caution_was_heard_to_its_end(bench):
    assert reasons(bench.say(Verb.NEXT)) == [Refusal.CAUTION_UNHEARD]
    assert bench.new_prompts()[-3:] == ["refused_caution_unheard", "caution", "step_act"]
    bench.hear_cautions()
    assert names(bench.say(Verb.NEXT)) == ["StepCompleted", "StepEntered"]


def test_a_caution_that_was_cut_off_does_not_count_as_given(bench):
    cut = bench.give(PromptEnded("1.1", "Sharp", to_the_end=False, step="tube.open", caution="c1"))
    assert names(cut) == ["PromptInterrupted"]
    assert reasons(bench.say(Verb.NEXT)) == [Refusal.CAUTION_UNHEARD]


def test_every_one_of_several_cautions_must_be_heard(bench):
    bench.to_soak()
    bench.say(Verb.GO_BACK)
    bench.say(Verb.READING, "35")
    bench.say(Verb.AFFIRM)
    bench.give(PromptEnded("9.1", "Hot.", to_the_end=True, step="tube.soak", caution="c2"))
    assert reasons(bench.say(Verb.START_SOAK)) == [Refusal.CAUTION_UNHEARD]
    bench.give(PromptEnded("9.2", "Slippery.", to_the_end=True, step="tube.soak", caution="c3"))
    assert names(bench.say(Verb.START_SOAK)) == ["DwellStarted"]


def test_a_prompt_of_a_step_that_is_not_known_changes_nothing_but_the_count(bench):
    before = bench.state
    bench.give(PromptEnded("3.1", "words", to_the_end=True))
    assert bench.state.progress == before.progress


def test_two_triggers_at_the_same_instant_advance_once(bench):
    bench.hear_cautions()
    bench.at += timedelta(seconds=1)
    first = bench.give(Said(Command(Verb.NEXT), "next", bench.at))
    second = bench.give(Said(Command(Verb.NEXT), "next", bench.at))
    assert names(first) == ["Heard", "StepCompleted", "StepEntered"]
    assert names(second) == ["Heard", "CommandRefused"]
    assert reasons(second) == [Refusal.SAID_BEFORE]


def test_what_was_said_before_the_step_was_entered_does_not_complete_it(bench):
    bench.hear_cautions()
    said_at = bench.at + timedelta(seconds=0.5)
    bench.say(Verb.NEXT)
    late = bench.give(Said(Command(Verb.LOT, "A37"), "lot alfa three seven", said_at))
    assert reasons(late) == [Refusal.SAID_BEFORE]


def test_the_wrong_command_for_a_step_is_refused_with_the_right_one(bench):
    bench.brief(Verb.NEXT)
    refused = bench.say(Verb.NEXT)
    assert reasons(refused) == [Refusal.EXPECTS]
    assert refused[0].about == Verb.LOT
    assert reasons(bench.say(Verb.START_SOAK)) == [Refusal.EXPECTS]


def test_a_wrong_command_before_the_cautions_is_refused_for_the_cautions(bench):
    assert reasons(bench.say(Verb.START_SOAK)) == [Refusal.CAUTION_UNHEARD]


def test_a_timer_starts_only_on_its_own_cue(bench):
    bench.to_soak()
    refused = bench.say(Verb.START_RINSE)
    assert reasons(refused) == [Refusal.WRONG_TIMER]
    assert refused[0].about == Verb.START_SOAK
    assert bench.state.running() == ()


def test_a_running_soak_refuses_next_with_the_time_left(bench):
    bench.to_soak()
    bench.say(Verb.START_SOAK)
    bench.pass_time(120)
    refused = bench.say(Verb.NEXT, after=0)
    assert reasons(refused) == [Refusal.STILL_RUNNING]
    assert refused[0].about == "3 min"
    assert reasons(bench.say(Verb.START_SOAK)) == [Refusal.ALREADY_RUNNING]
    assert reasons(bench.say(Verb.READING, "35")) == [Refusal.ALREADY_RUNNING]


def test_next_a_moment_before_the_least_time_is_refused_and_at_it_is_taken():
    for seconds, taken in ((299.99, False), (300.0, True), (300.01, True)):
        fresh = Bench()
        fresh.to_soak()
        fresh.say(Verb.START_SOAK)
        events = fresh.say(Verb.NEXT, after=seconds)
        assert ("StepCompleted" in names(events)) is taken


def test_a_soak_ended_at_its_most_time_is_within_and_a_second_later_a_deviation():
    for seconds, kinds in ((900, []), (901, [ev.DeviationKind.OVER_TIME])):
        bench = Bench()
        bench.to_soak()
        bench.say(Verb.START_SOAK)
        bench.say(Verb.NEXT, after=seconds)
        assert [deviation.kind for deviation in bench.state.deviations] == kinds


def test_a_ripe_or_overdue_soak_cannot_be_started_again_or_undone(bench):
    bench.to_soak()
    bench.say(Verb.START_SOAK)
    bench.pass_time(300)
    assert bench.state.progress["tube.soak"].stage is Stage.RIPE
    assert reasons(bench.say(Verb.START_SOAK)) == [Refusal.TIME_IS_UP]
    assert reasons(bench.say(Verb.GO_BACK)) == [Refusal.TIME_IS_UP]
    bench.pass_time(700)
    assert bench.state.progress["tube.soak"].stage is Stage.OVERDUE
    assert reasons(bench.say(Verb.GO_BACK)) == [Refusal.TIME_IS_UP]


def test_going_back_from_a_running_soak_undoes_it_and_says_its_cautions_again(bench):
    bench.to_soak()
    bench.say(Verb.START_SOAK)
    bench.new_prompts()
    events = bench.say(Verb.GO_BACK, after=20)
    assert names(events) == ["DwellEnded", "StepEntered"]
    assert events[0].counts is False
    assert bench.state.running() == ()
    assert bench.state.progress["tube.soak"].stage is Stage.BRIEFING
    assert bench.new_prompts() == ["soak_undone", "caution", "caution", "step_soak"]


def test_going_back_erases_nothing_and_enters_the_step_before_again(bench):
    bench.brief(Verb.NEXT)
    count = len(bench.events)
    events = bench.say(Verb.GO_BACK)
    assert names(events) == ["StepEntered"]
    assert events[0].again
    assert len(bench.events) == count + 2
    assert reasons(bench.say(Verb.NEXT)) == [Refusal.CAUTION_UNHEARD]


def test_going_back_from_the_first_step_is_refused(bench):
    assert reasons(bench.say(Verb.GO_BACK)) == [Refusal.FIRST_STEP]


def test_going_back_from_a_finished_track_enters_its_last_step(bench):
    bench.to_end()
    events = bench.say(Verb.GO_BACK)
    assert (events[0].step, events[0].again) == ("rod.dry", True)


def test_a_step_gone_back_to_holds_up_what_needs_it(bench):
    bench.to_soak()
    bench.say(Verb.GO_BACK)
    bench.say(Verb.SWITCH, "rod")
    bench.say(Verb.NEXT)
    refused = bench.say(Verb.START_SOAK)
    assert reasons(refused) == [Refusal.WAITS_FOR]
    assert refused[0].about == "measure the bath"


def test_tracks_run_side_by_side(bench):
    bench.to_soak()
    bench.say(Verb.START_SOAK)
    assert bench.new_prompts() == ["soak_started_with_most", "offer"]
    bench.say(Verb.SWITCH, "rod")
    bench.say(Verb.NEXT)
    bench.say(Verb.START_SOAK)
    assert [dwell.component for dwell in bench.state.running()] == ["rod", "tube"]
    assert "offer" not in bench.new_prompts()[-1:]  # both soak: nothing to turn to


def test_a_component_may_be_left_in_mid_soak_and_found_again(bench):
    bench.to_soak()
    bench.say(Verb.START_SOAK)
    bench.say(Verb.SWITCH, "rod")
    bench.new_prompts()
    assert names(bench.say(Verb.SWITCH, "tube")) == ["TrackSwitched"]
    assert bench.new_prompts() == ["track_switched", "timer_left"]


def test_switching_says_a_begun_step_and_its_cautions_again(bench):
    bench.say(Verb.SWITCH, "rod")
    events = bench.say(Verb.SWITCH, "tube")
    assert names(events) == ["TrackSwitched", "StepEntered"]
    assert events[1].again
    assert bench.new_prompts()[-3:] == ["track_switched", "caution", "step_act"]


def test_switching_to_a_part_that_waits_says_for_what(bench):
    bench.say(Verb.SWITCH, "rod")
    bench.new_prompts()
    bench.say(Verb.NEXT)
    assert bench.new_prompts() == ["track_waits", "offer"]
    bench.say(Verb.SWITCH, "tube")
    bench.new_prompts()
    bench.say(Verb.SWITCH, "rod")
    assert bench.new_prompts() == ["track_switched", "track_waits", "offer"]


def test_switching_to_a_finished_part_says_where_it_goes(bench):
    bench.to_end()
    bench.say(Verb.SWITCH, "tube")
    assert bench.new_prompts() == ["track_switched", "track_done"]
    assert reasons(bench.say(Verb.NEXT)) == [Refusal.TRACK_DONE]


def test_switching_nowhere_or_to_an_unknown_part_is_refused(bench):
    assert reasons(bench.say(Verb.SWITCH, "tube")) == [Refusal.SAME_COMPONENT]
    assert reasons(bench.say(Verb.SWITCH, "lid")) == [Refusal.UNKNOWN_COMPONENT]


def test_a_finished_part_offers_the_other(bench):
    bench.to_look()
    bench.say(Verb.AFFIRM)
    assert bench.new_prompts() == ["track_finished", "offer"]


def test_nothing_happens_in_a_closed_session(bench):
    bench.say(Verb.ABANDON)
    bench.say(Verb.AFFIRM)
    assert bench.state.phase is Phase.ABANDONED
    assert bench.say(Verb.NEXT) == ()
