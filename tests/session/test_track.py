import pytest
from bench import PROCEDURE

from assistant.session import track
from assistant.session.command import Verb


def test_a_step_that_is_not_there_is_a_key_error():
    with pytest.raises(KeyError):
        track.find(PROCEDURE, "lid.open")
    with pytest.raises(KeyError):
        PROCEDURE.component("lid")


def test_what_may_be_said_follows_the_step(bench):
    first = []

    def note():
        first.append(track.sayable(PROCEDURE, bench.state)[0])

    note()  # a caution is due
    bench.hear_cautions()
    note()
    bench.say(Verb.NEXT)
    note()
    bench.say(Verb.LOT, "A37")
    note()
    bench.say(Verb.AFFIRM)
    note()
    bench.say(Verb.READING, "35")
    bench.say(Verb.AFFIRM)
    bench.hear_cautions()
    note()
    bench.say(Verb.START_SOAK)
    note()  # nothing to do here: turn to the other part
    bench.pass_time(300)
    note()
    assert first == [
        Verb.REPEAT,
        Verb.NEXT,
        Verb.LOT,
        Verb.AFFIRM,
        Verb.READING,
        Verb.START_SOAK,
        Verb.SWITCH,
        Verb.NEXT,
    ]


def test_what_may_be_said_at_a_question_and_after_its_no(bench):
    bench.to_look()
    assert track.sayable(PROCEDURE, bench.state)[:2] == (Verb.AFFIRM, Verb.DENY)
    bench.say(Verb.DENY)
    assert track.sayable(PROCEDURE, bench.state)[:3] == (Verb.AFFIRM, Verb.DENY, Verb.NEXT)


def test_what_may_be_said_when_all_is_done_paused_or_closed(bench):
    bench.to_end()
    assert track.sayable(PROCEDURE, bench.state)[0] is Verb.SIGN_OFF
    bench.say(Verb.PAUSE)
    assert track.sayable(PROCEDURE, bench.state)[0] is Verb.RESUME
    bench.say(Verb.RESUME)
    bench.say(Verb.SIGN_OFF)
    bench.say(Verb.AFFIRM)
    assert track.sayable(PROCEDURE, bench.state) == ()


def test_at_a_finished_part_the_other_is_to_be_turned_to(bench):
    bench.to_look()
    bench.say(Verb.AFFIRM)
    assert track.sayable(PROCEDURE, bench.state)[0] is Verb.SWITCH


def test_every_step_answer_is_what_its_task_needs():
    steps = {step.id: step for component in PROCEDURE.components for step in component.steps}
    assert track.answers(steps["tube.rinse"]) == (Verb.START_RINSE,)
    assert track.answers(steps["rod.dry"]) == (Verb.START_DRY,)
    assert track.answers(steps["tube.look"]) == (Verb.AFFIRM, Verb.DENY)
