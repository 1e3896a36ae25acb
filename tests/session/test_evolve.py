from dataclasses import replace

from bench import PROCEDURE, START, Bench
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.session import event as ev
from assistant.session.command import Command, PromptEnded, Reopened, Said, TimeReached, Verb
from assistant.session.decide import decide
from assistant.session.evolve import evolve, fold
from assistant.session.state import State
from assistant.session.table import Phase


def test_the_fold_of_a_sessions_events_is_its_state(bench):
    bench.to_end()
    assert fold(bench.events) == bench.state


def test_the_fold_may_go_on_from_a_state(bench):
    bench.to_end()
    half = fold(bench.events[:20])
    assert fold(bench.events[20:], half) == bench.state


def test_an_event_that_the_table_has_no_row_for_leaves_phase_and_stage():
    state = State()
    assert evolve(state, ev.SignedOff(START, "x", 0, 0)).phase is Phase.WORKING
    assert evolve(state, ev.Resumed(START)).phase is Phase.WORKING


def test_a_milestone_of_a_dwell_that_ended_changes_nothing(bench):
    bench.to_look()
    late = ev.DwellMilestone(bench.at, "tube", "tube.soak", "soak", 60)
    assert replace(evolve(bench.state, late), seq=bench.state.seq) == bench.state


def test_a_stage_without_a_row_stays(bench):
    before = bench.state.progress["tube.open"].stage
    ripe = ev.DwellRipe(bench.at, "tube", "tube.open", "soak", bench.at, None)
    assert evolve(bench.state, ripe).progress["tube.open"].stage is before


VALUES = st.sampled_from(["", "35", "50", "A37", "tube", "rod", "damaged", "crack", "x"])
INPUTS = st.one_of(
    st.builds(
        lambda verb, value, unit: Said(Command(verb, value, unit), "words", START),
        st.sampled_from(list(Verb)),
        VALUES,
        st.sampled_from(["", "", "°F", "psi"]),
    ),
    st.just(TimeReached()),
    st.just(Reopened()),
    st.just("cautions"),
)


@settings(max_examples=150, deadline=None)
@given(st.lists(st.tuples(INPUTS, st.integers(0, 400)), max_size=60))
def test_no_order_of_inputs_breaks_the_core(steps):
    """Whatever comes, decide answers, evolve folds, and a refusal moves nothing."""
    bench = Bench()
    for what, seconds in steps:
        bench.pass_time(seconds)
        if what == "cautions":
            bench.hear_cautions()
            continue
        given_now = replace(what, said_at=bench.at) if isinstance(what, Said) else what
        before = bench.state
        events = decide(PROCEDURE, before, given_now, bench.at)
        refused = [event for event in events if isinstance(event, ev.CommandRefused)]
        bench.give(given_now)
        if refused:
            # What was heard counts, and nothing else.
            heard = {"seq": 0, "misheard": 0, "listed": 0}
            assert replace(bench.state, **heard) == replace(before, **heard)
    assert fold(bench.events) == bench.state


def test_a_prompt_that_ends_twice_gives_its_caution_once(bench):
    once = PromptEnded("1.1", "Sharp.", to_the_end=True, step="tube.open", caution="c1")
    bench.give(once)
    stage = bench.state.progress["tube.open"].stage
    bench.give(once)
    assert bench.state.progress["tube.open"].stage is stage
