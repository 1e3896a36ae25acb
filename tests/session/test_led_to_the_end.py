"""Every shipped procedure can be led to its sign-off by what may be said at each moment."""

import pytest
from technician import Technician
from whole import PACK

from assistant.printing.code import SessionCode, session_of
from assistant.procedure.bay_plan import Impossible
from assistant.procedure.model import ElapsedTask, Role
from assistant.procedure.sheet import read
from assistant.session.command import Verb
from assistant.session.effect import Say
from assistant.session.schedule import next_proposal
from assistant.session.track import present
from assistant.speaking.line import line
from assistant.station import sink
from assistant.station.opening import shipped

NOWHERE = "no station"
STATIONS = {path.stem: sink.read(path).station for path in sink.shipped()}


@pytest.mark.parametrize("station", [NOWHERE, *STATIONS])
@pytest.mark.parametrize("late", [False, True], ids=["in time", "late"])
@pytest.mark.parametrize("path", shipped(), ids=lambda path: path.stem)
def test_a_shipped_procedure_is_led_from_intake_to_sign_off(path, late, station):
    procedure = read(path)
    if station != NOWHERE:
        procedure = sink.equipped(procedure, STATIONS[station])
        assert not isinstance(procedure, Impossible)
    technician = Technician(procedure, late=late)
    technician.work()
    state = technician.led.state
    assert state.closed
    assert state.open == ()
    expected = {p.id for p in procedure.parts if p.treatment is not None}
    assert set(state.disposed) == expected
    for part, gone in state.disposed.items():
        assert session_of(gone.label) == SessionCode(state.session, part)
    delayed = any(isinstance(s.task, ElapsedTask) for c in procedure.components for s in c.steps)
    assert state.delayed is (late and delayed)
    assert {c.role for c in procedure.components} >= {Role.INTAKE, Role.PART}


class Follower(Technician):
    """Goes wherever the plan says, and does what is before it there."""

    def turn(self):
        found = next_proposal(self.led.procedure, self.led.state, self.led.at)
        if found is None:
            return self.led.yes(Verb.SIGN_OFF)
        proposal = found[0]
        if proposal.start_s:
            return self.led.wait(proposal.start_s)
        if proposal.component == self.led.state.focus:
            return super().turn()
        (*_, last) = self.led.say(Verb.SWITCH, proposal.component)
        step = present(self.led.procedure, self.led.state, proposal.component)
        assert step.id in self.led.state.progress, f"{last}: the plan leads to what waits"
        return None


@pytest.mark.parametrize("station", STATIONS)
@pytest.mark.parametrize("path", shipped(), ids=lambda path: path.stem)
def test_the_plan_leads_a_placed_procedure_to_its_end(path, station):
    follower = Follower(sink.equipped(read(path), STATIONS[station]))
    follower.work()
    assert follower.led.state.closed
    said = [e for e in follower.led.effects if isinstance(e, Say)]
    spoken = {sign for e in said for p in e.prompts for sign in line(PACK, p).spoken}
    assert {sign for sign in spoken if not (sign.isalpha() or sign in " ',.?!")} == set()
    assert "over_time" not in follower.led.deviations()
