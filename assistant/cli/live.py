"""A live session from the command line: devices opened, the loop run, the way back told."""

from __future__ import annotations

import queue
import signal
import sys
import threading
from collections import deque
from contextlib import ExitStack
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import click

from assistant.cli.common import printer
from assistant.cli.session import LATEST, NOTHING_BEGUN, chosen, readable
from assistant.grammar import pack as packs
from assistant.record.store import Store
from assistant.session.instruction import step_prompts
from assistant.speaking.line import line
from assistant.station import assemble, script, sink
from assistant.station.clock import RealClock
from assistant.station.course import Course
from assistant.station.ear import Ear
from assistant.station.loop import Loop, Over, Typed
from assistant.station.mouth import LoudMouth, PrintedMouth
from assistant.station.reception import Reception, devices

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence
    from pathlib import Path

    from assistant.grammar.interpret import Interpreter
    from assistant.grammar.pack import Pack
    from assistant.hearing.recognizer import Recognizer
    from assistant.session.effect import Prompt
    from assistant.station.assemble import Plan
    from assistant.station.course import Deciding
    from assistant.station.journal import Journal
    from assistant.station.loop import Message
    from assistant.station.mouth import Mouth
    from assistant.station.reception import Received


@dataclass(frozen=True, slots=True)
class Wishes:
    """What the command line asks for.

    Attributes:
        procedure: name or path; "" where a session is gone on with, or where the device
            that is scanned or named chooses it.
        procedures: the folder to choose from; None for the shipped ones.
        source: "mic", "keys" or "script".
        script_file: the script, where that is the source.
        device: part of the microphone's name; None for the default one.
        scanner: a scanner's input device; None where it types as a keyboard does.
        speaker: the sound card's name; None for the default one.
        aloud: whether prompts are spoken, or only printed.
        resume: the session to go on with; None for a new one.
        language: of a new session, BCP 47.
        operator: who works; "" for the login name.
        components: the only ones to clean; empty for all.
        recognizer: its name, or "auto".
        model_folder: of a Vosk model.
        policy: the facility's policy for a new session; "" for none.
        station: where a new session is led; None for the usual place.
        record_file: the record.
        as_json: whether rows are printed as JSON.
    """

    procedure: str
    procedures: Path | None
    source: str
    script_file: Path | None
    device: str | None
    scanner: Path | None
    speaker: str | None
    aloud: bool
    resume: str | None
    language: str
    operator: str
    components: tuple[str, ...]
    recognizer: str
    model_folder: Path | None
    policy: str
    station: str | None
    record_file: Path
    as_json: bool
    explain: bool


def lead(wishes: Wishes) -> None:
    """Lead the session to its end, or until the program is told to stop.

    Devices and models come first: what is missing is told before anything is
    recorded.
    """
    cues = script.read(wishes.script_file) if wishes.script_file else None
    with ExitStack() as stack:
        store = stack.enter_context(Store.open(wishes.record_file, write=True))
        given = _given(stack, wishes, cues)
        _told_to_stop()
        if wishes.resume is None:
            plan, session = _chosen(wishes, given), ""
        else:
            session = wishes.resume if wishes.resume != LATEST else assemble.last_open(store)
            plan = assemble.recorded_plan(session, store)
        if plan is None:
            click.echo(NOTHING_BEGUN, err=True)
            return
        ear = Ear(plan.interpreter, _recognizer(wishes, plan.interpreter, given))
        mouth, voice = _mouth(stack, wishes, plan.pack, given.inbox, _prompts(plan))
        show = printer(as_json=wishes.as_json, explain=wishes.explain)
        if wishes.source == "mic":
            _listen(stack, wishes, ear, given)
        if session:
            course = assemble.resumed(session, plan, store, given.clock, show)
        else:
            course = assemble.begin(plan, store, given.clock, show, _means(wishes, ear, voice))
        _run(given.loop(course, mouth, ear), course)


@dataclass(slots=True)
class _Given:
    """What a reception and the session after it share: the clock, and what comes in.

    Attributes:
        clock: of both.
        inbox: where everything comes in.
        sources: how many threads leave input there.
        cues: of the script; None without one.
        played: whether the script plays sound.
        early: what came for the session while the reception ended.
    """

    clock: RealClock
    inbox: queue.Queue[Message]
    sources: int
    cues: Iterator[script.Cue] | None
    played: bool
    early: deque[Message] = field(default_factory=deque)

    def loop(self, course: Course[Deciding], mouth: Mouth, ear: Ear) -> Loop:
        return Loop(course, mouth, ear, self.inbox, self.sources, self.cues, self.early)


def _given(stack: ExitStack, wishes: Wishes, cues: Sequence[script.Cue] | None) -> _Given:
    """Everything that gives input but the microphone, begun."""
    inbox: queue.Queue[Message] = queue.Queue()
    played = any(isinstance(cue, script.Play) for cue in cues or ())
    given = _Given(RealClock(), inbox, 0, None if cues is None else iter(cues), played)
    if cues is None:
        # A scanner types as a keyboard does, beside the microphone too.
        given.sources = 2 if wishes.source == "mic" else 1
        threading.Thread(target=_type, args=(inbox,), daemon=True).start()
    if wishes.scanner is not None:
        from assistant.station.scanner import Scanner  # noqa: PLC0415 - only to read one

        scanner = Scanner(wishes.scanner, given.clock, inbox.put)
        stack.callback(scanner.close)
    return given


def _chosen(wishes: Wishes, given: _Given) -> Plan | None:
    """The plan for the procedure that was named, or else for the device that is received."""
    name, received = wishes.procedure, None
    station = sink.chosen(wishes.station)
    if not name:
        received = _received(wishes, given)
        if received is None:
            return None
        name = received.sheet.source
    plan = assemble.plan(name, wishes.language, wishes.components, wishes.policy, station)
    if received is None:
        return plan
    return replace(plan, received=received.code, received_as=received.told)


def _received(wishes: Wishes, given: _Given) -> Received | None:
    """The device that is scanned or named; None where nobody wants one."""
    pack = packs.load(wishes.language)
    reception = Reception(readable(wishes.procedures))
    with ExitStack() as stack:
        known = devices(pack, reception.sheets)
        ear = Ear(known, _recognizer(wishes, known, given))
        mouth, _ = _mouth(stack, wishes, pack, given.inbox, ())
        if wishes.source == "mic":
            _listen(stack, wishes, ear, given)
        show = printer(as_json=wishes.as_json, explain=wishes.explain)
        course = Course(reception, pack, given.clock, show)
        course.perform(reception.begin())
        loop = given.loop(course, mouth, ear)
        try:
            loop.run()
        except KeyboardInterrupt:
            click.echo("", err=True)
            return None
        given.sources, given.early = loop.sources, loop.early
    return reception.received


def _told_to_stop() -> None:
    """Being told to stop is the same as Ctrl+C."""

    def stop(*_: object) -> None:
        raise KeyboardInterrupt

    signal.signal(signal.SIGTERM, stop)
    if hasattr(signal, "SIGHUP"):
        signal.signal(signal.SIGHUP, stop)


def _run(loop: Loop, course: Course[Journal]) -> None:
    """Run the loop; a request to end leaves the session open, with the way back told."""
    try:
        loop.run()
    except KeyboardInterrupt:
        click.echo("", err=True)
    if not course.journal.state.closed:
        session = course.journal.session
        click.echo(
            f"sinkside: session {session} stays open; go on with `sinkside run --resume {session}`",
            err=True,
        )


def _recognizer(wishes: Wishes, known: Interpreter, given: _Given) -> Recognizer | None:
    if wishes.source != "mic" and not given.played:
        return None
    return chosen(known, wishes.recognizer, wishes.model_folder)


def _means(wishes: Wishes, ear: Ear, voice: str) -> assemble.Means:
    heard = ear.recognizer
    return assemble.Means(
        "real",
        wishes.operator,
        heard.name if heard else wishes.source,
        heard.model_sha256 if heard else "",
        voice,
    )


def _mouth(
    stack: ExitStack,
    wishes: Wishes,
    pack: Pack,
    inbox: queue.Queue[Message],
    prompts: Iterable[Prompt],
) -> tuple[Mouth, str]:
    """The mouth, its prompts rendered ahead, and the voice's name for the record."""
    if not wishes.aloud:
        return PrintedMouth(), "printed"
    from assistant.speaking.playback import SpeakerPlayback  # noqa: PLC0415 - only to speak aloud
    from assistant.speaking.sound_card import SoundCard  # noqa: PLC0415
    from assistant.speaking.tone import clip  # noqa: PLC0415
    from assistant.speaking.voice import EspeakVoice  # noqa: PLC0415

    playback = SpeakerPlayback(SoundCard(wishes.speaker))
    voice = stack.enter_context(EspeakVoice(language=pack.language))
    voice.prepare(line(pack, prompt).spoken for prompt in prompts)
    mouth = LoudMouth(voice, playback, clip, inbox.put)
    stack.callback(mouth.close)
    return mouth, voice.voice


def _prompts(plan: Plan) -> Iterator[Prompt]:
    """Every step's prompts, which are to be said without a wait."""
    for component in plan.procedure.components:
        for step in component.steps:
            yield from step_prompts(step)


def _listen(stack: ExitStack, wishes: Wishes, ear: Ear, given: _Given) -> None:
    from assistant.hearing.microphone import Microphone  # noqa: PLC0415 - only to hear one
    from assistant.station.listening import Listening  # noqa: PLC0415

    listening = Listening(lambda: Microphone(wishes.device), ear, given.clock, given.inbox.put)
    stack.callback(listening.close)


def _type(inbox: queue.Queue[Message]) -> None:
    """Every typed line until the lines end."""
    for text in sys.stdin:
        if text.strip():
            inbox.put(Typed(text.strip()))
    inbox.put(Over())
