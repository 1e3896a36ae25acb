"""A session on the invented device that has every kind of step, told by its commands."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path

from bench import opened

from assistant.grammar.pack import load
from assistant.procedure.sheet import read
from assistant.session import event as ev
from assistant.session.command import Command, PromptEnded, Said, Source, TimeReached, Verb
from assistant.session.decide import decide, open_session
from assistant.session.effect import Say
from assistant.session.effects import effects
from assistant.session.evolve import evolve
from assistant.session.state import State
from assistant.speaking.line import line

PACK = load("en")
START = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
WHOLE = read(Path(__file__).parent / "sheets" / "whole.yaml")


@dataclass
class Whole:
    """Gives commands at moments, hears every caution out, keeps events and effects."""

    procedure: object = WHOLE
    standing: tuple = ()
    at: datetime = START
    state: State = field(default_factory=State)
    events: list = field(default_factory=list)
    effects: list = field(default_factory=list)

    def __post_init__(self):
        self._fold(open_session(self.procedure, opened(self.procedure, self.at), self.standing))

    def _fold(self, new):
        for event in new:
            before, self.state = self.state, evolve(self.state, event)
            told = effects(self.procedure, before, event, self.state)
            for effect in told:
                for prompt in effect.prompts if isinstance(effect, Say) else ():
                    assert line(PACK, prompt).shown
            self.effects += told
        self.events += new
        return new

    def give(self, what):
        return self._fold(decide(self.procedure, self.state, what, self.at))

    def wait(self, seconds):
        self.at += timedelta(seconds=seconds)
        return self.give(TimeReached())

    def hear_out(self):
        for step, progress in tuple(self.state.progress.items()):
            for caution in sorted(progress.due):
                self.give(PromptEnded("1.1", "x", to_the_end=True, step=step, caution=caution))

    def say(self, verb, value="", unit=""):
        """The events after the utterance's own; cautions are heard out before it."""
        self.hear_out()
        self.at += timedelta(seconds=1)
        source = Source.SCAN if verb is Verb.SCAN else Source.VOICE
        new = self.give(Said(Command(verb, value, unit), str(verb), self.at, source))
        return [event for event in new if not isinstance(event, ev.Heard)]

    def yes(self, verb, value="", unit=""):
        """A command that is read back, and its affirmation."""
        asked = self.say(verb, value, unit)
        assert isinstance(asked[-1], ev.ConfirmationAsked), asked
        return self.say(Verb.AFFIRM)

    def refusal(self, verb, value="", unit=""):
        (refused,) = self.say(verb, value, unit)
        assert isinstance(refused, ev.CommandRefused), refused
        return refused.reason

    def of(self, kind):
        return [event for event in self.events if isinstance(event, kind)]

    def deviations(self):
        return [str(event.kind) for event in self.of(ev.DeviationNoted)]

    # The usual way.

    def take_in(self, minutes="20"):
        self.say(Verb.AFFIRM)
        self.yes(Verb.SCAN, "(01)09521234543213(21)A7")
        self.say(Verb.AFFIRM)
        self.yes(Verb.READING, minutes)
        self.say(Verb.AFFIRM)

    def make_bath(self, degrees="38"):
        self.say(Verb.NEXT)
        self.yes(Verb.LOT, "A37")
        self.yes(Verb.EXPIRY, "271231")
        self.say(Verb.NEXT)
        return self.yes(Verb.READING, degrees)

    def ready(self):
        """Taken in, the bath made, the tube in hand."""
        self.take_in()
        self.make_bath()

    def tube_tight(self, after="158"):
        self.say(Verb.NEXT)
        self.yes(Verb.READING, "160")
        self.say(Verb.START_HOLD)
        self.wait(30)
        self.say(Verb.NEXT)
        return self.yes(Verb.READING, after)

    def tube_to_swab(self):
        self.tube_tight()
        self.tube_round()

    def tube_round(self):
        """From the soak to the swab."""
        self.say(Verb.START_SOAK)
        self.wait(300)
        self.say(Verb.NEXT)
        self.say(Verb.PASS, "soiled")
        self.say(Verb.PASS, "clean")
        self.say(Verb.FILL)
        self.say(Verb.FILL)
        self.yes(Verb.READING, "15")
        self.say(Verb.START_DRY)
        self.wait(600)
        self.say(Verb.NEXT)

    def tube_to_hand_on(self):
        self.tube_to_swab()
        self.yes(Verb.READING, "150")
        self.say(Verb.AFFIRM)

    def present(self):
        steps = self.procedure.component(self.state.focus).steps
        index = self.state.position.get(self.state.focus, 0)
        return steps[index].id if index < len(steps) else ""
