import hashlib
from datetime import timedelta

import pytest
from kit import MEANS, TO_END, TO_SOAKS, Kit, cues

from assistant.procedure.choice import ChoiceError
from assistant.procedure.quantity import duration_text
from assistant.record import codec
from assistant.record.store import SessionUnknownError, Store
from assistant.session.event import SessionOpened
from assistant.station import assemble
from assistant.station.opening import ProcedureUnknownError, find


def test_a_sessions_first_entry_names_the_exact_texts_it_was_led_by(kit):
    course = kit.begin()
    first = codec.events(kit.store.entries(course.journal.session))[0]
    assert isinstance(first, SessionOpened)
    text = find("demo-short").read_bytes()
    assert first.procedure_text.encode() == text
    assert first.procedure_sha256 == hashlib.sha256(text).hexdigest()
    assert first.grammar_sha256 == kit.plan.pack.sha256


def test_a_session_goes_on_at_the_same_place_with_the_soaks_true_time_left(kit):
    course = kit.follow(*TO_SOAKS, "wait 1 min")
    session, state = course.journal.session, course.journal.state
    kit.store.close()
    # The program is gone for a minute; soaks do not know.
    kit.clock.move_to(kit.clock.now() + timedelta(minutes=1))
    with Store.open(kit.path, write=True) as store:
        again = Kit(kit.path, store, clock=kit.clock)
        assert assemble.last_open(store) == session
        plan = assemble.recorded_plan(session, store)
        resumed = assemble.resumed(session, plan, store, kit.clock, again.rows.append)
        assert resumed.journal.state.position == state.position
        begun = {dwell.step: dwell.started_at for dwell in state.running()}
        assert {dwell.step: dwell.started_at for dwell in resumed.journal.state.running()} == begun
        left_s = 300 - (kit.clock.now() - begun["shaft.soak"]).total_seconds()
        said = [line.shown for line in resumed.queue]
        assert f"{duration_text(round(left_s))} left to soak the shaft." in [
            text[0].lower() + text[1:] for text in said
        ]
        again.rehearsal(resumed).follow(cues(*TO_END))
        assert resumed.journal.state.closed
        assert store.verify() == []


def test_a_closed_session_is_not_gone_on_with(kit):
    course = kit.follow("abandon this cleaning", "affirmative")
    with pytest.raises(SessionUnknownError, match="is closed"):
        assemble.recorded_plan(course.journal.session, kit.store)
    with pytest.raises(SessionUnknownError, match="no open session"):
        assemble.last_open(kit.store)


def test_a_rehearsal_is_never_gone_on_with_by_itself(kit):
    means = assemble.Means("rehearsal", "x", "none", "", "printed")
    assemble.begin(kit.plan, kit.store, kit.clock, kit.rows.append, means)
    with pytest.raises(SessionUnknownError):
        assemble.last_open(kit.store)


def test_an_unknown_procedure_is_answered_with_those_there_are():
    with pytest.raises(ProcedureUnknownError, match="demo-short"):
        assemble.plan("no-such-device", "en", ())


def test_some_components_can_be_cleaned_without_the_others(kit):
    plan = assemble.plan("demo-short", "en", ("shaft",))
    course = assemble.begin(plan, kit.store, kit.clock, kit.rows.append, MEANS)
    assert [c.id for c in course.journal.procedure.components] == ["intake", "detergent", "shaft"]
    session = course.journal.session
    again = assemble.recorded_plan(session, kit.store)
    assert [c.id for c in again.procedure.components] == ["intake", "detergent", "shaft"]


def test_a_component_that_waits_for_one_left_out_is_refused_with_its_name():
    with pytest.raises(ChoiceError, match="choose the component shaft too"):
        assemble.plan("demo-short", "en", ("insert",))
    with pytest.raises(ChoiceError, match="no component lid"):
        assemble.plan("demo-short", "en", ("lid",))


def test_a_component_may_be_chosen_by_its_other_name():
    plan = assemble.plan("demo-grasper", "en", ("tray", "Handle", "outer tube", "jaws"))
    assert [c.id for c in plan.procedure.components] == [
        "intake",
        "detergent",
        "tray",
        "handle",
        "shaft",
        "insert",
    ]
