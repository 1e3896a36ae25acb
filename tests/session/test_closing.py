from bench import names

from assistant.session import event as ev
from assistant.session.command import Reopened, Verb
from assistant.session.refusal import Refusal
from assistant.session.table import Phase, Stage


def test_a_pause_leaves_the_soaks_running(bench):
    bench.to_soak()
    bench.say(Verb.START_SOAK)
    bench.say(Verb.PAUSE)
    assert bench.state.phase is Phase.PAUSED
    assert "DwellRipe" in names(bench.pass_time(300))


def test_while_paused_work_is_refused_and_questions_are_answered(bench):
    bench.say(Verb.PAUSE)
    assert bench.say(Verb.NEXT)[0].reason == Refusal.PHASE_PAUSED
    assert names(bench.say(Verb.HOW_LONG)) == ["Asked"]
    assert bench.say(Verb.PAUSE)[0].reason == Refusal.PHASE_PAUSED
    bench.say(Verb.HELP)
    assert bench.new_prompts()[-1] == "help"


def test_resuming_says_the_cautions_again(bench):
    bench.hear_cautions()
    bench.say(Verb.PAUSE)
    bench.new_prompts()
    assert names(bench.say(Verb.RESUME)) == ["Resumed", "StepEntered"]
    assert bench.new_prompts() == ["resumed", "caution", "step_act"]
    assert bench.say(Verb.NEXT)[0].reason == Refusal.CAUTION_UNHEARD


def test_resuming_work_that_is_not_paused_is_refused(bench):
    assert bench.say(Verb.RESUME)[0].reason == Refusal.PHASE_WORKING


def test_resuming_beside_a_running_soak_leaves_it_alone(bench):
    bench.to_soak()
    bench.say(Verb.START_SOAK)
    bench.say(Verb.PAUSE)
    assert names(bench.say(Verb.RESUME)) == ["Resumed"]
    assert len(bench.state.running()) == 1


def test_resuming_at_a_finished_track_enters_nothing(bench):
    bench.to_end()
    bench.say(Verb.PAUSE)
    assert names(bench.say(Verb.RESUME)) == ["Resumed"]


def test_a_step_is_left_out_only_with_a_reason_and_a_yes(bench):
    bench.brief(Verb.NEXT)
    assert bench.say(Verb.SKIP)[0].reason == Refusal.NO_REASON
    asked = bench.say(Verb.SKIP, "not applicable")
    assert (asked[0].kind, asked[0].value) == (ev.PendingKind.SKIP, "not applicable")
    assert bench.state.progress["tube.lot"].stage is Stage.READY
    done = bench.say(Verb.AFFIRM)
    assert names(done) == ["StepSkipped", "DeviationNoted", "StepEntered"]
    assert bench.state.progress["tube.lot"].stage is Stage.SKIPPED
    assert bench.state.deviations[0].kind is ev.DeviationKind.SKIPPED
    assert "skipped" in bench.new_prompts()


def test_a_denied_skip_leaves_the_step_where_it_was(bench):
    bench.brief(Verb.NEXT)
    bench.say(Verb.SKIP, "damaged")
    bench.say(Verb.DENY)
    assert bench.state.progress["tube.lot"].stage is Stage.READY
    assert bench.state.deviations == ()


def test_a_mandatory_step_cannot_be_left_out(bench):
    assert bench.say(Verb.SKIP, "damaged")[0].reason == Refusal.MANDATORY


def test_leaving_a_running_soak_out_records_the_short_time_too(bench):
    bench.to_soak()
    bench.say(Verb.START_SOAK)
    bench.say(Verb.SKIP, "supervisor decided", after=30)
    done = bench.say(Verb.AFFIRM)
    assert names(done)[:2] == ["DwellEnded", "DeviationNoted"]
    kinds = [deviation.kind for deviation in bench.state.deviations]
    assert kinds == [ev.DeviationKind.UNDER_TIME, ev.DeviationKind.SKIPPED]


def test_leaving_out_the_last_step_finishes_the_track(bench):
    bench.to_look()
    bench.say(Verb.SKIP, "damaged")
    assert names(bench.say(Verb.AFFIRM)) == ["StepSkipped", "DeviationNoted", "TrackFinished"]


def test_leaving_out_a_step_before_one_that_waits_says_for_what(bench):
    bench.say(Verb.SWITCH, "rod")
    bench.say(Verb.SKIP, "not applicable")
    bench.new_prompts()
    bench.say(Verb.AFFIRM)
    assert "track_waits" in bench.new_prompts()


def test_a_problem_is_kept_with_the_part_and_the_step(bench):
    noted = bench.say(Verb.NOTE, "crack")
    assert (noted[0].component, noted[0].step, noted[0].problem) == ("tube", "tube.open", "crack")
    assert bench.new_prompts()[-1] == "problem_noted"
    assert bench.say(Verb.NOTE)[0].reason == Refusal.NO_REASON


def test_a_problem_may_be_noted_at_a_finished_part(bench):
    bench.to_end()
    assert bench.say(Verb.NOTE, "stain")[0].step == ""


def test_signing_off_needs_every_track_at_its_end(bench):
    refused = bench.say(Verb.SIGN_OFF)
    assert (refused[0].reason, refused[0].about) == (Refusal.UNFINISHED, "tube, rod")


def test_signing_off_needs_a_yes(bench):
    bench.to_end()
    bench.say(Verb.SIGN_OFF)
    assert bench.new_prompts() == ["read_back_sign_off"]
    bench.say(Verb.DENY)
    assert not bench.state.closed
    assert bench.new_prompts() == ["withdrawn_sign_off"]
    bench.say(Verb.SIGN_OFF)
    signed = bench.say(Verb.AFFIRM)
    assert names(signed) == ["SignedOff"]
    assert signed[0].operator == "invented operator"
    assert bench.state.phase is Phase.SIGNED_OFF


def test_abandoning_needs_a_yes(bench):
    bench.say(Verb.ABANDON)
    bench.say(Verb.DENY)
    assert bench.state.phase is Phase.WORKING
    bench.say(Verb.ABANDON)
    assert names(bench.say(Verb.AFFIRM)) == ["Abandoned"]


def test_a_reopened_session_asks_anew_what_waited_and_says_cautions_again(bench):
    bench.to_soak()
    bench.say(Verb.SKIP, "damaged")
    bench.new_prompts()
    assert names(bench.give(Reopened())) == ["SessionReopened", "StepEntered"]
    assert bench.state.pending is None
    assert bench.state.phase is Phase.WORKING
    assert bench.new_prompts() == ["reopened", "caution", "caution", "step_soak"]


def test_a_reopened_session_announces_the_soaks_that_ended_meanwhile_first(bench):
    bench.to_soak()
    bench.say(Verb.START_SOAK)
    bench.new_prompts()
    bench.at = bench.at.replace(hour=9)
    assert names(bench.give(Reopened())) == ["DwellRipe", "DwellOverdue", "SessionReopened"]
    assert bench.new_prompts() == [
        "soak_ripe_late",
        "end_here",
        "soak_overdue",
        "end_here",
        "reopened",
        "timer_overdue",
        "end_here",
    ]


def test_a_session_reopened_while_paused_stays_paused(bench):
    bench.say(Verb.PAUSE)
    bench.new_prompts()
    assert names(bench.give(Reopened())) == ["SessionReopened"]
    assert bench.new_prompts() == ["reopened", "paused"]
