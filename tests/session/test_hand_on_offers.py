"""What is offered for a part at its last step, and after waiting, is not refused then."""

import pytest
from whole import Whole

from assistant.session.command import Verb
from assistant.session.effect import Say
from assistant.session.track import sayable


@pytest.fixture
def whole():
    whole = Whole()
    whole.ready()
    return whole


def keys(whole):
    """The prompts that were said, by their keys."""
    return [p.key for effect in whole.effects if isinstance(effect, Say) for p in effect.prompts]


def offered(whole):
    may_say = sayable(whole.procedure, whole.state)
    ways = (Verb.HAND_ON, Verb.CLEAN_AGAIN, Verb.HOLD, Verb.REPAIR, Verb.OVERRIDE)
    return [verb for verb in ways if verb in may_say]


def too_long(whole):
    """The tube at its last step, its soak too long."""
    whole.tube_tight()
    whole.say(Verb.START_SOAK)
    whole.wait(1000)  # 15 min at most
    whole.say(Verb.NEXT)
    whole.say(Verb.PASS, "clean")
    whole.say(Verb.PASS, "clean")
    whole.say(Verb.FILL)
    whole.say(Verb.FILL)
    whole.yes(Verb.READING, "15")
    whole.say(Verb.START_DRY)
    whole.wait(600)
    whole.say(Verb.NEXT)
    whole.yes(Verb.READING, "150")
    whole.say(Verb.AFFIRM)


def test_a_sound_part_may_go_on_be_cleaned_again_or_held(whole):
    whole.tube_to_hand_on()
    assert offered(whole) == [Verb.HAND_ON, Verb.CLEAN_AGAIN, Verb.HOLD, Verb.REPAIR]


def test_a_leaking_part_may_only_be_held_or_repaired_and_is_told_so(whole):
    whole.tube_tight("154")  # 6 mmHg lost, 5 allowed
    assert offered(whole) == [Verb.HOLD, Verb.REPAIR]
    whole.refusal(Verb.HAND_ON, "disinfection")
    assert keys(whole)[-1] == "refused_deviation_open"


def test_a_part_that_soaked_too_long_may_also_be_cleaned_again_or_accepted(whole):
    too_long(whole)
    assert offered(whole) == [Verb.CLEAN_AGAIN, Verb.HOLD, Verb.REPAIR, Verb.OVERRIDE]
    whole.refusal(Verb.HAND_ON, "disinfection")
    assert keys(whole)[-3:] == ["refused_deviation_open", "way_clean_again", "way_override"]


def test_a_part_with_no_round_left_is_not_offered_another(whole):
    whole.tube_to_swab()
    whole.yes(Verb.READING, "900")
    whole.tube_round()
    whole.yes(Verb.READING, "900")
    assert offered(whole) == [Verb.HOLD, Verb.REPAIR]


def test_after_a_lead_accepted_it_is_said_again_what_can_be_done(whole):
    too_long(whole)
    whole.yes(Verb.OVERRIDE, "supervisor decided")
    assert keys(whole)[-2:] == ["deviations_accepted", "step_hand_on_disinfection"]
    assert offered(whole)[0] is Verb.HAND_ON


def test_where_nothing_can_be_done_but_wait_it_is_told_for_what(whole):
    whole.say(Verb.SWITCH, "lens")
    whole.say(Verb.NEXT)
    whole.say(Verb.START_SOAK)
    whole.say(Verb.SWITCH, "tube")
    whole.tube_tight("154")
    whole.yes(Verb.REPAIR, "other")
    whole.yes(Verb.CONTAINER, "R1")
    assert keys(whole)[-2:] == ["disposed", "timer_left"]


@pytest.mark.parametrize("verb", [Verb.PAUSE, Verb.EMERGENCY])
def test_after_a_pause_or_an_emergency_the_timers_are_told_first(whole, verb):
    whole.tube_tight()
    whole.say(Verb.START_SOAK)
    whole.say(verb, "sharps injury" if verb is Verb.EMERGENCY else "")
    whole.wait(1000)
    before = len(keys(whole))
    whole.say(Verb.RESUME)
    assert keys(whole)[before + 1] == "timer_overdue"


def test_a_soak_in_a_bath_that_is_out_is_named_with_its_part(whole):
    whole.tube_tight()
    whole.say(Verb.START_SOAK)
    whole.say(Verb.SPOIL, "soil")
    prompts = [p for effect in whole.effects if isinstance(effect, Say) for p in effect.prompts]
    (told,) = (prompt for prompt in prompts if prompt.key == "deviation_bath_out")
    assert {slot.name: slot.text for slot in told.slots}["component"] == "tube"
