import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.hearing.endpoint import Boundary, Limits, State, advance, finish

STEP_S = 0.02
LIMITS = Limits(
    on=0.5,
    off=0.3,
    least_speech_s=0.1,
    pause_s=0.2,
    hangover_s=0.5,
    pre_roll_s=0.2,
    tail_s=0.2,
    most_s=8.0,
)


def run(*stretches, limits=LIMITS, step_s=STEP_S):
    """Boundaries of (probability, seconds) stretches, as (what, start, speech end)."""
    state, found = State(), []
    for probability, seconds in stretches:
        for _ in range(round(seconds / step_s)):
            state, event = advance(state, probability, step_s, limits)
            found.append(event)
    state, event = finish(state, limits)
    found.append(event)
    return [
        (event.boundary, round(event.start_s, 3), round(event.speech_end_s, 3))
        for event in found
        if event is not None
    ]


def test_silence_has_no_boundaries():
    assert run((0.0, 20.0)) == []


def test_a_command_begins_pauses_and_ends():
    assert run((0.0, 1.0), (0.9, 0.6), (0.0, 2.0)) == [
        (Boundary.BEGAN, 0.8, 1.1),
        (Boundary.PAUSED, 0.8, 1.6),
        (Boundary.ENDED, 0.8, 1.6),
    ]


def test_speech_from_the_first_sample_on_is_taken_whole():
    assert run((0.9, 0.6), (0.0, 1.0))[-1] == (Boundary.ENDED, 0.0, 0.6)


def test_speech_up_to_the_last_sample_ends_with_the_sound():
    assert run((0.0, 1.0), (0.9, 0.6)) == [
        (Boundary.BEGAN, 0.8, 1.1),
        (Boundary.ENDED, 0.8, 1.6),
    ]


def test_a_click_is_no_command():
    assert run((0.0, 1.0), (1.0, 0.08), (0.0, 2.0)) == []


def test_a_likely_frame_goes_on_but_does_not_begin():
    assert run((0.4, 2.0)) == []
    assert run((0.9, 0.3), (0.4, 1.0), (0.0, 1.0))[-1] == (Boundary.ENDED, 0.0, 1.3)


def test_a_hesitation_shorter_than_the_hangover_stays_inside():
    ended = [e for e in run((0.9, 0.4), (0.0, 0.4), (0.9, 0.4), (0.0, 1.0)) if e[0] == "ended"]
    assert ended == [(Boundary.ENDED, 0.0, 1.2)]


def test_two_commands_a_short_gap_apart_are_two_where_the_words_are_complete():
    short = Limits(hangover_s=0.24, least_speech_s=0.1, pre_roll_s=0.2)
    found = run((0.9, 0.4), (0.0, 0.3), (0.9, 0.4), (0.0, 1.0), limits=short)
    assert [event for event in found if event[0] == "ended"] == [
        (Boundary.ENDED, 0.0, 0.4),
        (Boundary.ENDED, 0.5, 1.1),
    ]


def test_the_pre_roll_never_reaches_into_the_speech_before():
    short = Limits(hangover_s=0.1, pause_s=0.05, pre_roll_s=5.0)
    found = run((0.9, 0.4), (0.0, 0.2), (0.9, 0.4), (0.0, 1.0), limits=short)
    assert found[-1] == (Boundary.ENDED, 0.4, 1.0)


def test_limits_may_change_while_an_utterance_is_open():
    state = State()
    for _ in range(20):
        state, _ = advance(state, 0.9, STEP_S, LIMITS)
    for _ in range(15):
        state, event = advance(state, 0.0, STEP_S, LIMITS)
    state, event = advance(state, 0.0, STEP_S, Limits(hangover_s=0.3))
    assert event is not None
    assert event.boundary is Boundary.ENDED


def test_noise_taken_for_speech_never_holds_a_turn_open():
    found = run((0.9, 20.0))
    cuts = [event for event in found if event[0] == "cut"]
    assert len(cuts) == 2
    assert cuts[0] == (Boundary.CUT, 0.0, 8.0)
    assert cuts[1] == (Boundary.CUT, 8.0, 16.0)


def test_noise_that_flickers_never_holds_a_turn_open_either():
    found = run(*[(0.9, 0.2), (0.0, 0.4)] * 40)
    assert max(end - start for what, start, end in found if what in ("ended", "cut")) <= 8.0


def test_each_pause_is_announced_once():
    found = run((0.9, 0.4), (0.0, 0.4), (0.9, 0.4), (0.0, 0.4), (0.9, 0.4), (0.0, 2.0))
    assert [event[0] for event in found] == ["began", "paused", "paused", "paused", "ended"]


@pytest.mark.parametrize(
    "wrong",
    [
        {"on": 0.3, "off": 0.4},
        {"off": 0.0},
        {"on": 1.1},
        {"pre_roll_s": -0.1},
        {"hangover_s": 0.0},
        {"hangover_s": 9.0},
    ],
)
def test_limits_that_could_never_work_are_refused(wrong):
    with pytest.raises(ValueError, match=r"wanted|negative"):
        Limits(**wrong)


@given(st.lists(st.floats(0, 1), max_size=400), st.sampled_from([0.01, 0.032, 0.1]))
def test_utterances_are_in_order_apart_and_within_bounds(probabilities, step_s):
    state, found = State(), []
    for probability in probabilities:
        state, event = advance(state, probability, step_s, LIMITS)
        found.append(event)
    _, event = finish(state, LIMITS)
    found.append(event)
    before_s = 0.0
    for event in found:
        if event is not None and event.boundary in (Boundary.ENDED, Boundary.CUT):
            assert before_s <= event.start_s < event.speech_end_s
            assert event.speech_end_s - event.start_s <= LIMITS.most_s + step_s
            assert event.speech_end_s - event.start_s >= LIMITS.least_speech_s - 1e-9
            before_s = event.speech_end_s
