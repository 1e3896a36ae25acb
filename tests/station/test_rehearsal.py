import pytest
from kit import TO_END, TO_SOAKS, cues

from assistant.record import codec
from assistant.session import event as ev
from assistant.session.evolve import fold
from assistant.session.table import Phase
from assistant.shipped import folder
from assistant.station.script import Play, ScriptError


def test_a_whole_cleaning_goes_from_opening_to_signature(kit):
    course = kit.follow(*TO_SOAKS, *TO_END)
    assert course.journal.state.phase is Phase.SIGNED_OFF
    assert kit.store.verify() == []


def test_what_the_record_holds_folds_to_the_state_it_was_left_in(kit):
    course = kit.follow(*TO_SOAKS)
    events = codec.events(kit.store.entries(course.journal.session))
    assert fold(events) == course.journal.state


def test_every_prompt_that_was_said_is_in_the_record_word_for_word(kit):
    course = kit.follow(*TO_SOAKS)
    events = codec.events(kit.store.entries(course.journal.session))
    recorded = [event.text for event in events if isinstance(event, ev.PromptFinished)]
    assert recorded == kit.texts("said")


def test_soaks_end_at_their_own_moment_while_prompts_are_spoken(kit):
    course = kit.follow(*TO_SOAKS, "wait 10 min")
    events = codec.events(kit.store.entries(course.journal.session))
    for ripe in (event for event in events if isinstance(event, ev.DwellRipe)):
        assert ripe.at == ripe.due_at


def test_say_again_repeats_the_last_announcement_word_for_word(kit):
    kit.follow("affirmative")
    announced = kit.texts("said")[-2:]
    kit.rows.clear()
    course = kit.begin()
    kit.rehearsal(course).follow(cues("affirmative", "say again"))
    assert kit.texts("said")[-2:] == announced == kit.texts("said")[-4:-2]


def test_a_phrase_outside_the_grammar_changes_nothing(kit):
    course = kit.follow("next")
    before = course.journal.state
    kit.rehearsal(course).follow(cues("please hand me the towel"))
    assert course.journal.state.progress == before.progress
    assert kit.texts("rejected") == ['"please hand me the towel"']


def test_a_scanned_code_is_a_lot_where_one_is_asked_for_and_nothing_elsewhere(kit):
    course = kit.follow("scan a37", "affirmative", "next", "scan a37")
    assert course.journal.state.pending.value == "A37"
    assert "No code is asked for here." in kit.texts("said")


def test_sound_without_a_recognizer_is_a_plain_error(kit):
    path = folder("audio_fixtures") / "amber" / "next.wav"
    course = kit.begin()
    with pytest.raises(ScriptError, match="no recognizer"):
        kit.rehearsal(course).follow([Play(path)])


def test_stop_talking_gives_the_queued_prompts_up_as_not_heard(kit):
    course = kit.begin()
    queued = len(course.queue)
    course.hush()
    events = codec.events(kit.store.entries(course.journal.session))
    assert sum(isinstance(event, ev.PromptInterrupted) for event in events) == queued
    kit.rehearsal(course).follow(cues("affirmative"))
    assert kit.texts("said")[0].startswith("Not yet: hear the caution")
