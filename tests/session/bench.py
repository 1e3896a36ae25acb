"""A small device of our own and a pen that writes its session, for the core's tests."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta

from assistant.procedure.model import (
    Approval,
    Bath,
    Caution,
    Component,
    Dwell,
    DwellKind,
    LotTask,
    Procedure,
    Question,
    ReadingTask,
    Step,
)
from assistant.procedure.quantity import Window, parse
from assistant.session.command import Command, PromptEnded, Said, TimeReached, Verb
from assistant.session.decide import decide, open_session
from assistant.session.effect import Effect, Say
from assistant.session.effects import effects
from assistant.session.event import Event, SessionOpened
from assistant.session.evolve import evolve
from assistant.session.state import State

START = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
WARM = Window(parse("30 °C"), parse("40 °C"))

APPROVED = Approval("invented lead", date(2026, 1, 1), date(2035, 12, 31))
PROCEDURE = Procedure(
    approval=APPROVED,
    id="invented-pair",
    revision="1",
    title="invented pair",
    language="en",
    notice="Demo values, invented.",
    hazards=("Sharp edge.",),
    protective_equipment=("gloves",),
    baths=(Bath("bath", "bath", "demo soap", parse("10 L"), parse("5 mL/L"), WARM),),
    components=(
        Component(
            "tube",
            "tube",
            "to packing",
            (
                Step(
                    "tube.open",
                    "Open it.",
                    "open the tube",
                    (Caution("c1", "Sharp."),),
                    mandatory=True,
                ),
                Step("tube.lot", "Read the lot.", "enter the lot", task=LotTask("soap lot", 2, 4)),
                Step(
                    "tube.warm",
                    "Measure.",
                    "measure the bath",
                    task=ReadingTask("bath temperature", WARM),
                ),
                Step(
                    "tube.soak",
                    "Lay it in.",
                    "soak the tube",
                    (Caution("c2", "Hot."), Caution("c3", "Slippery.")),
                    task=Dwell(DwellKind.SOAK, 300, 900, "bath"),
                ),
                Step("tube.rinse", "Rinse.", "rinse the tube", task=Dwell(DwellKind.RINSE, 60)),
                Step(
                    "tube.look",
                    "Look.",
                    "inspect the tube",
                    task=Question("Is it clean?", "Clean it again."),
                ),
            ),
        ),
        Component(
            "rod",
            "rod",
            "to repair",
            (
                Step("rod.rinse", "Rinse it.", "rinse the rod"),
                Step(
                    "rod.soak",
                    "Lay it in.",
                    "soak the rod",
                    task=Dwell(DwellKind.SOAK, 120, 600, "bath"),
                    needs=("tube.warm",),
                ),
                Step("rod.dry", "Blow.", "dry the rod", task=Dwell(DwellKind.DRY, 60)),
            ),
        ),
    ),
)


def opened(procedure: Procedure, at: datetime) -> SessionOpened:
    """The first entry of a session."""
    return SessionOpened(
        at=at,
        procedure=procedure.id,
        revision=procedure.revision,
        title=procedure.title,
        notice=procedure.notice,
        procedure_text="",
        procedure_sha256="",
        grammar_sha256="",
        recognizer="none",
        model_sha256="",
        voice="printed",
        language="en",
        operator="invented operator",
        mode="rehearsal",
        program="test",
        components=tuple(component.id for component in procedure.components),
        session="s1",
    )


@dataclass
class Bench:
    """Writes a session: gives inputs at moments, keeps events and effects."""

    at: datetime = START
    state: State = field(default_factory=State)
    events: list[Event] = field(default_factory=list)
    effects: list[Effect] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._fold(open_session(PROCEDURE, opened(PROCEDURE, self.at)))

    def _fold(self, new: tuple[Event, ...]) -> tuple[Event, ...]:
        for event in new:
            before, self.state = self.state, evolve(self.state, event)
            self.effects += effects(PROCEDURE, before, event, self.state)
        self.events += new
        return new

    def give(self, what: object) -> tuple[Event, ...]:
        return self._fold(decide(PROCEDURE, self.state, what, self.at))

    def pass_time(self, seconds: float) -> tuple[Event, ...]:
        self.at += timedelta(seconds=seconds)
        return self.give(TimeReached())

    def say(
        self, verb: Verb, value: str = "", unit: str = "", after: float = 1
    ) -> tuple[Event, ...]:
        """The events after the utterance's own."""
        self.at += timedelta(seconds=after)
        new = self.give(Said(Command(verb, value, unit), str(verb), self.at))
        return tuple(event for event in new if type(event).__name__ != "Heard")

    def hear_cautions(self) -> None:
        """Let every caution of the present step be heard to its end."""
        for step, progress in tuple(self.state.progress.items()):
            for caution in sorted(progress.due):
                self.give(
                    PromptEnded("1.1", "a caution", to_the_end=True, step=step, caution=caution)
                )

    def brief(self, verb: Verb, value: str = "", unit: str = "") -> tuple[Event, ...]:
        self.hear_cautions()
        return self.say(verb, value, unit)

    def prompts(self) -> list[str]:
        """Keys of everything said so far."""
        return [
            prompt.key
            for effect in self.effects
            if isinstance(effect, Say)
            for prompt in effect.prompts
        ]

    def new_prompts(self) -> list[str]:
        """Keys of what was said since this was last asked."""
        keys = self.prompts()
        self.effects.clear()
        return keys

    def to_soak(self) -> None:
        """Go on to the tube's soak, its cautions heard."""
        self.brief(Verb.NEXT)
        self.say(Verb.LOT, "A37")
        self.say(Verb.AFFIRM)
        self.say(Verb.READING, "35")
        self.say(Verb.AFFIRM)
        self.hear_cautions()
        self.new_prompts()

    def to_look(self) -> None:
        """Go on to the tube's inspection."""
        self.to_soak()
        self.say(Verb.START_SOAK)
        self.pass_time(400)
        self.say(Verb.NEXT)
        self.say(Verb.START_RINSE)
        self.pass_time(60)
        self.say(Verb.NEXT)
        self.new_prompts()

    def to_end(self) -> None:
        """Go on until only the sign-off is left."""
        self.to_look()
        self.say(Verb.AFFIRM)
        self.say(Verb.SWITCH, "rod")
        self.say(Verb.NEXT)
        self.say(Verb.START_SOAK)
        self.pass_time(120)
        self.say(Verb.NEXT)
        self.say(Verb.START_DRY)
        self.pass_time(60)
        self.say(Verb.NEXT)
        self.new_prompts()


def names(events: tuple[Event, ...]) -> list[str]:
    return [type(event).__name__ for event in events]
