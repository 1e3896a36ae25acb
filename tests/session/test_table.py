import pytest

from assistant.session.command import Verb
from assistant.session.refusal import Refusal
from assistant.session.table import (
    PHASES,
    STAGES,
    Phase,
    Stage,
    Turn,
    diagram,
    next_phase,
    next_stage,
    verbs,
)


def test_every_command_is_known_in_some_phase():
    assert set().union(*(verbs(phase) for phase in Phase)) == set(Verb)


@pytest.mark.parametrize("phase", [Phase.SIGNED_OFF, Phase.ABANDONED])
def test_a_closed_session_knows_no_command(phase):
    assert verbs(phase) == frozenset()


def test_a_trigger_the_table_lacks_is_no_exception():
    assert next_phase(Verb.RESUME, Phase.WORKING) is None
    assert next_stage(Turn.START, Stage.BRIEFING) is None


def test_the_library_answers_as_the_rows_stand():
    for trigger, source, dest in PHASES:
        assert next_phase(trigger, source) is dest
    for trigger, source, dest in STAGES:
        assert next_stage(trigger, source) is dest


def test_no_row_stands_twice():
    assert len({row[:2] for row in PHASES}) == len(PHASES)
    assert len({row[:2] for row in STAGES}) == len(STAGES)


def test_every_phase_that_can_refuse_has_its_reason():
    for phase in (Phase.WORKING, Phase.CONFIRMING, Phase.PAUSED, Phase.EMERGENCY):
        assert Refusal(f"phase_{phase}")


def test_a_diagram_shows_every_row():
    drawn = diagram(STAGES)
    for trigger, source, dest in STAGES:
        assert any(
            f"{source} --> {dest}:" in line and trigger in line for line in drawn.splitlines()
        )
