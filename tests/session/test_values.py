from dataclasses import replace

import bench as bench_file
import pytest
from bench import names

from assistant.procedure.model import Caution
from assistant.session import event as ev
from assistant.session.command import Verb
from assistant.session.refusal import Refusal
from assistant.session.table import Phase


@pytest.fixture
def at_lot(bench):
    bench.brief(Verb.NEXT)
    bench.new_prompts()
    return bench


@pytest.fixture
def at_reading(at_lot):
    at_lot.say(Verb.LOT, "A37")
    at_lot.say(Verb.AFFIRM)
    at_lot.new_prompts()
    return at_lot


def test_a_reading_in_its_window_is_read_back_and_recorded_only_when_confirmed(at_reading):
    asked = at_reading.say(Verb.READING, "35")
    assert names(asked) == ["ConfirmationAsked"]
    assert at_reading.state.phase is Phase.CONFIRMING
    assert at_reading.new_prompts() == ["read_back_reading"]
    done = at_reading.say(Verb.AFFIRM)
    assert names(done) == ["ValueAccepted", "StepCompleted", "StepEntered"]
    assert (done[0].value, done[0].unit, done[0].limits) == ("35", "°C", "30\u201340 °C")


@pytest.mark.parametrize(
    ("value", "unit", "reason"),
    [
        ("29.9", "", "below"),
        ("40.1", "", "above"),
        ("104.1", "°F", "above"),
        ("85.9", "°F", "below"),
    ],
)
def test_a_reading_outside_its_window_is_refused_and_the_step_stays(
    at_reading, value, unit, reason
):
    refused = at_reading.say(Verb.READING, value, unit)
    assert [(type(e).__name__, e.reason) for e in refused] == [("ValueRefused", reason)]
    assert at_reading.new_prompts() == [f"value_{reason}"]
    assert at_reading.state.phase is Phase.WORKING
    assert names(at_reading.say(Verb.READING, "35")) == ["ConfirmationAsked"]


@pytest.mark.parametrize("value", ["30", "40", "30.0"])
def test_both_ends_of_a_window_belong_to_it(at_reading, value):
    assert names(at_reading.say(Verb.READING, value)) == ["ConfirmationAsked"]


def test_a_reading_in_the_other_scale_is_read_back_as_it_was_spoken(at_reading):
    # 104 °F is 40 °C exactly: °F = °C * 9/5 + 32, exact by definition
    # (NIST Handbook 44, Appendix C), so it lies on the window's upper end.
    asked = at_reading.say(Verb.READING, "104", "°F")
    assert (asked[0].value, asked[0].unit) == ("104", "°F")


def test_a_denied_reading_leaves_no_trace_in_the_state_and_may_be_said_again(at_reading):
    at_reading.say(Verb.READING, "35")
    withdrawn = at_reading.say(Verb.DENY)
    assert names(withdrawn) == ["ConfirmationWithdrawn"]
    assert at_reading.state.progress["tube.warm"].value == ""
    assert at_reading.new_prompts()[-1] == "withdrawn_value"
    at_reading.say(Verb.READING, "36")
    assert at_reading.say(Verb.AFFIRM)[0].value == "36"


def test_a_reading_may_be_corrected_by_saying_it_again(at_reading):
    at_reading.say(Verb.READING, "35")
    at_reading.say(Verb.READING, "36")
    assert at_reading.say(Verb.AFFIRM)[0].value == "36"


def test_nothing_but_an_answer_is_taken_while_a_read_back_waits(at_reading):
    at_reading.say(Verb.READING, "35")
    refused = at_reading.say(Verb.NEXT)
    assert refused[0].reason == Refusal.PHASE_CONFIRMING
    assert refused[0].may_say[:2] == (Verb.AFFIRM, Verb.DENY)


def test_a_reading_with_a_unit_of_something_else_is_refused(at_reading):
    refused = at_reading.say(Verb.READING, "35", "psi")
    assert (refused[0].reason, refused[0].about) == (Refusal.WRONG_UNIT, "°C")


def test_a_reading_that_is_no_number_is_refused(at_reading):
    assert at_reading.say(Verb.READING, "warm")[0].reason == Refusal.NOT_A_NUMBER


def test_a_reading_where_none_is_asked_for_is_refused(at_lot):
    assert at_lot.say(Verb.READING, "35")[0].reason == Refusal.EXPECTS


def test_a_lot_is_read_back_spelled(at_lot):
    at_lot.say(Verb.LOT, "A37")
    assert at_lot.new_prompts() == ["read_back_lot"]
    done = at_lot.say(Verb.AFFIRM)
    assert (done[0].of, done[0].value, done[0].limits) == ("soap lot", "A37", "")


@pytest.mark.parametrize(("value", "reason"), [("A", "short"), ("A3791", "long")])
def test_a_lot_of_the_wrong_length_is_refused(at_lot, value, reason):
    refused = at_lot.say(Verb.LOT, value)
    assert (refused[0].reason, refused[0].limits) == (reason, "2\u20134")
    assert at_lot.new_prompts() == [f"value_{reason}"]


def test_a_lot_where_none_is_asked_for_is_refused(at_reading):
    assert at_reading.say(Verb.LOT, "A37")[0].reason == Refusal.EXPECTS


def test_yes_to_a_question_completes_its_step(bench):
    bench.to_look()
    assert names(bench.say(Verb.AFFIRM)) == ["ValueAccepted", "StepCompleted", "TrackFinished"]


def test_no_to_a_question_is_a_deviation_and_completes_nothing(bench):
    bench.to_look()
    assert names(bench.say(Verb.DENY)) == ["ValueAccepted", "DeviationNoted"]
    assert bench.new_prompts() == ["answered_no", "deviation_answered_no"]
    assert bench.state.deviations[0].kind is ev.DeviationKind.ANSWERED_NO
    assert bench.state.progress["tube.look"].value == "no"


def test_after_no_the_step_may_be_left_by_next_or_answered_anew(bench):
    bench.to_look()
    bench.say(Verb.DENY)
    assert names(bench.say(Verb.NEXT)) == ["StepCompleted", "TrackFinished"]


def test_after_no_and_yes_the_deviation_stays_in_the_record(bench):
    bench.to_look()
    bench.say(Verb.DENY)
    bench.say(Verb.AFFIRM)
    assert len(bench.state.deviations) == 1


def test_yes_where_nothing_was_asked_is_refused(bench):
    bench.hear_cautions()
    assert bench.say(Verb.AFFIRM)[0].reason == Refusal.NOTHING_ASKED
    assert bench.say(Verb.DENY)[0].reason == Refusal.NOTHING_ASKED


def test_yes_to_a_question_whose_caution_was_not_heard_is_refused(bench, monkeypatch):
    tube = bench_file.PROCEDURE.components[0]
    look = replace(tube.steps[-1], cautions=(Caution("c9", "Bright."),))
    steps = (*tube.steps[:-1], look)
    changed = replace(
        bench_file.PROCEDURE,
        components=(replace(tube, steps=steps), *bench_file.PROCEDURE.components[1:]),
    )
    monkeypatch.setattr(bench_file, "PROCEDURE", changed)
    bench.to_look()
    assert bench.say(Verb.AFFIRM)[0].reason == Refusal.CAUTION_UNHEARD
