"""Each shipped procedure is led from its intake to its last container by careful hands."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

import pytest
from bench import opened

from assistant.grammar.pack import load
from assistant.procedure.model import (
    Act,
    CountTask,
    Dwell,
    ElapsedTask,
    ExpiryTask,
    HandOnTask,
    IdentifyTask,
    InspectionTask,
    LeakJudge,
    LotTask,
    Question,
    ReadingTask,
    TallyKind,
    TallyTask,
    TestTask,
    When,
)
from assistant.procedure.sheet import read
from assistant.session.command import Command, PromptEnded, Said, TimeReached, Verb
from assistant.session.decide import decide, open_session
from assistant.session.due import next_due
from assistant.session.effect import Effect, Say
from assistant.session.effects import effects
from assistant.session.event import (
    CommandRefused,
    DeviationNoted,
    Disposed,
    DwellEnded,
    Event,
    RoundBegun,
    StepCompleted,
)
from assistant.session.evolve import evolve
from assistant.session.state import State
from assistant.session.table import Phase, Stage
from assistant.session.track import START as STARTS
from assistant.session.track import blockers, elsewhere, present, unfinished
from assistant.speaking.line import line

if TYPE_CHECKING:
    from assistant.procedure.model import Procedure, Step
    from assistant.procedure.quantity import Window

AT = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
FOLDER = Path(__file__).parents[2] / "procedures"
SHIPPED = sorted(path.stem for path in FOLDER.glob("*.yaml"))
HANDS_S = 8  # for one cue; our own guess, no source
MOST_CUES = 1500


def middle(window: Window) -> str:
    """A value that any window takes: between its ends, or at the one that it has."""
    ends = [end.value for end in (window.least, window.most) if end is not None]
    return str(sum(ends) / len(ends))


@dataclass
class Hands:
    """Does what every step asks for, lifts what is ripe first, and is never late.

    Attributes:
        procedure: to be led through.
        minutes: since the end of use.
        findings: by step id what is found there, once.
    """

    procedure: Procedure
    minutes: str = "10"
    findings: dict[str, str] = field(default_factory=dict)
    at: datetime = AT
    state: State = field(default_factory=State)
    events: list[Event] = field(default_factory=list)
    effects: list[Effect] = field(default_factory=list)

    WORDS: ClassVar = {
        Act: (Verb.NEXT, ""),
        Question: (Verb.AFFIRM, ""),
        CountTask: (Verb.AFFIRM, ""),
        LotTask: (Verb.LOT, "A37B"),
        ExpiryTask: (Verb.EXPIRY, "341231"),
    }

    def lead(self) -> None:
        self._fold(open_session(self.procedure, opened(self.procedure, self.at)))
        for _ in range(MOST_CUES):
            if self.state.closed:
                return
            self._cue()
        raise AssertionError(f"not closed: {self.events[-5:]}")

    def _fold(self, events: tuple[Event, ...]) -> None:
        for event in events:
            before, self.state = self.state, evolve(self.state, event)
            self.effects += effects(self.procedure, before, event, self.state)
        self.events += events

    def _say(self, verb: Verb, value: str = "") -> None:
        self.at += timedelta(seconds=HANDS_S)
        self._fold(decide(self.procedure, self.state, TimeReached(), self.at))
        said = Said(Command(verb, value), str(verb), self.at)
        self._fold(decide(self.procedure, self.state, said, self.at))

    def _cue(self) -> None:
        """One cue: an answer, a lift, the task of the step in hand, another track, or a wait."""
        for step, progress in tuple(self.state.progress.items()):
            for caution in sorted(progress.due):
                heard = PromptEnded("1.1", "", to_the_end=True, step=step, caution=caution)
                self._fold(decide(self.procedure, self.state, heard, self.at))
        ripe = [dwell for dwell in self.state.running() if dwell.least_at <= self.at]
        step = present(self.procedure, self.state, self.state.focus)
        if self.state.phase is Phase.CONFIRMING:
            self._say(Verb.AFFIRM)
        elif ripe and ripe[0].component != self.state.focus:
            self._say(Verb.SWITCH, ripe[0].component)
        elif ripe:
            self._say(Verb.NEXT)
        elif step is not None and self._free(step):
            self._do(step)
        elif (other := elsewhere(self.procedure, self.state)) is not None:
            self._say(Verb.SWITCH, other.id)
        elif not unfinished(self.procedure, self.state):
            self._say(Verb.SIGN_OFF)
        else:
            self.at = max(next_due(self.state) or self.at, self.at)
            self._fold(decide(self.procedure, self.state, TimeReached(), self.at))

    def _free(self, step: Step) -> bool:
        progress = self.state.progress.get(step.id)
        dwelling = progress is not None and progress.stage is Stage.DWELLING
        return not dwelling and not blockers(self.procedure, self.state, step)

    def _do(self, step: Step) -> None:
        task = step.task
        if isinstance(task, InspectionTask):
            what = self.findings.pop(step.id, "")
            self._say(Verb.NOTE if what else Verb.AFFIRM, what)
        elif isinstance(task, HandOnTask):
            chosen = self.state.focus in self.state.choices
            where = f"C{task.treatment[:1].upper()}1" if chosen else task.treatment
            self._say(Verb.CONTAINER if chosen else Verb.HAND_ON, where)
        else:
            self._say(*self._answer(step))

    def _answer(self, step: Step) -> tuple[Verb, str]:
        """The one cue that does a task."""
        match step.task:
            case Dwell(kind=kind):
                return STARTS[kind], ""
            case ReadingTask(window=window):
                return Verb.READING, middle(window)
            case ElapsedTask():
                return Verb.READING, self.minutes
            case IdentifyTask():
                return Verb.DEVICE, self.procedure.id
            case TallyTask(kind=kind):
                return (Verb.PASS, "clean") if kind is TallyKind.PASS else (Verb.FILL, "")
            case TestTask():
                return Verb.READING, self._good(step.task)
        return self.WORDS[type(step.task)]

    def _good(self, task: TestTask) -> str:
        """A value that passes: no loss, no light, no residue, clean water, a full transmission."""
        if isinstance(task.judge, LeakJudge):
            return self.state.progress[task.judge.start].value
        return "95" if task.of == "light transmission" else "1"

    def of(self, kind: type[Event]) -> list[Event]:
        return [event for event in self.events if isinstance(event, kind)]


def led(stem: str, minutes: str = "10") -> Hands:
    hands = Hands(read(FOLDER / f"{stem}.yaml"), minutes)
    hands.lead()
    return hands


@pytest.mark.parametrize("stem", SHIPPED)
def test_a_careful_pair_of_hands_comes_to_the_end_without_refusal_or_deviation(stem: str) -> None:
    hands = led(stem)
    assert hands.of(CommandRefused) == []
    assert hands.of(DeviationNoted) == []
    wanted = {part.id: part.treatment for part in hands.procedure.parts if part.treatment}
    assert {event.component: str(event.disposition) for event in hands.of(Disposed)} == wanted
    done = {event.step for event in hands.of(StepCompleted)}
    always = {
        s.id for c in hands.procedure.components for s in c.steps if s.when is not When.DELAYED
    }
    assert done == always


@pytest.mark.parametrize("stem", SHIPPED)
def test_every_line_of_its_session_is_said_in_words_alone(stem: str) -> None:
    pack = load("en")
    said = [
        line(pack, prompt).spoken
        for effect in led(stem, "90").effects
        if isinstance(effect, Say)
        for prompt in effect.prompts
    ]
    assert said
    assert {
        sign for text in said for sign in text if not (sign.isalpha() or sign in " ',.?!")
    } == set()


def test_a_late_bronchoscope_has_its_long_soak_and_one_in_time_has_not() -> None:
    def soaked(minutes: str) -> bool:
        ended = led("demo-bronchoscope", minutes).of(DwellEnded)
        return any(event.step == "bronchoscope.long-soak" for event in ended)

    assert soaked("61")
    assert not soaked("60")


@pytest.mark.parametrize("stem", [stem for stem in SHIPPED if stem != "demo-short"])
def test_a_part_with_soil_is_cleaned_again_and_still_comes_to_its_end(stem: str) -> None:
    procedure = read(FOLDER / f"{stem}.yaml")
    seen = [
        step.id
        for part in procedure.parts
        for step in part.steps
        if isinstance(step.task, InspectionTask)
    ]
    hands = Hands(procedure, findings=dict.fromkeys(seen, "visible soil"))
    hands.lead()
    assert {event.component for event in hands.of(RoundBegun)} == {
        step.partition(".")[0] for step in seen
    }
    assert hands.of(CommandRefused) == []
    assert {event.component for event in hands.of(Disposed)} == {p.id for p in procedure.parts}
