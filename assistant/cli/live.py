"""A live session from the command line: devices opened, the loop run, the way back told."""

from __future__ import annotations

import queue
import signal
import sys
import threading
from contextlib import ExitStack
from dataclasses import dataclass
from typing import TYPE_CHECKING

import click

from assistant.cli.common import printer
from assistant.cli.session import LATEST, chosen
from assistant.record.store import Store
from assistant.session.instruction import step_prompts
from assistant.speaking.line import line
from assistant.station import assemble, script
from assistant.station.clock import RealClock
from assistant.station.ear import Ear
from assistant.station.loop import Loop, Over, Typed
from assistant.station.mouth import LoudMouth, PrintedMouth

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from assistant.hearing.recognizer import Recognizer
    from assistant.speaking.voice import Voice
    from assistant.station.assemble import Plan
    from assistant.station.course import Course
    from assistant.station.loop import Message
    from assistant.station.mouth import Mouth


@dataclass(frozen=True, slots=True)
class Wishes:
    """What the command line asks for.

    Attributes:
        procedure: name or path; "" where a session is gone on with.
        source: "mic", "keys" or "script".
        script_file: the script, where that is the source.
        device: part of the microphone's name; None for the default one.
        speaker: the sound card's name; None for the default one.
        aloud: whether prompts are spoken, or only printed.
        resume: the session to go on with; None for a new one.
        language: of a new session, BCP 47.
        operator: who works; "" for the login name.
        components: the only ones to clean; empty for all.
        recognizer: its name, or "auto".
        model_folder: of a Vosk model.
        record_file: the record.
        as_json: whether rows are printed as JSON.
    """

    procedure: str
    source: str
    script_file: Path | None
    device: str | None
    speaker: str | None
    aloud: bool
    resume: str | None
    language: str
    operator: str
    components: tuple[str, ...]
    recognizer: str
    model_folder: Path | None
    policy: str
    record_file: Path
    as_json: bool
    explain: bool


def lead(wishes: Wishes) -> None:
    """Lead the session to its end, or until the program is told to stop.

    Devices and models come first: what is missing is told before anything is
    recorded.
    """
    cues = script.read(wishes.script_file) if wishes.script_file else None
    clock, inbox = RealClock(), _inbox()
    with ExitStack() as stack:
        store = stack.enter_context(Store.open(wishes.record_file, write=True))
        if wishes.resume is None:
            plan = assemble.plan(
                wishes.procedure, wishes.language, wishes.components, wishes.policy
            )
            session = ""
        else:
            session = wishes.resume if wishes.resume != LATEST else assemble.last_open(store)
            plan = assemble.recorded_plan(session, store)
        ear = Ear(plan.interpreter, _recognizer(wishes, plan, cues))
        mouth, voice = _mouth(stack, wishes, plan, inbox)
        show = printer(as_json=wishes.as_json, explain=wishes.explain)
        if wishes.source == "mic":
            _listen(stack, wishes, ear, clock, inbox)
        if session:
            course = assemble.resumed(session, plan, store, clock, show)
        else:
            course = assemble.begin(plan, store, clock, show, _means(wishes, ear, voice))
        loop = Loop(course, mouth, ear, inbox)
        if cues is not None:
            loop.sources, loop.cues = 0, iter(cues)
        if wishes.source == "keys":
            threading.Thread(target=_type, args=(inbox,), daemon=True).start()
        _run(loop, course)


def _inbox() -> queue.Queue[Message]:
    return queue.Queue()


def _run(loop: Loop, course: Course) -> None:
    """Run the loop; a request to end leaves the session open, with the way back told."""

    def stop(*_: object) -> None:
        raise KeyboardInterrupt

    signal.signal(signal.SIGTERM, stop)
    if hasattr(signal, "SIGHUP"):
        signal.signal(signal.SIGHUP, stop)
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


def _recognizer(wishes: Wishes, plan: Plan, cues: Sequence[script.Cue] | None) -> Recognizer | None:
    played = cues is not None and any(isinstance(cue, script.Play) for cue in cues)
    if wishes.source != "mic" and not played:
        return None
    return chosen(plan.interpreter, wishes.recognizer, wishes.model_folder)


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
    stack: ExitStack, wishes: Wishes, plan: Plan, inbox: queue.Queue[Message]
) -> tuple[Mouth, str]:
    """The mouth, and the voice's name for the record."""
    if not wishes.aloud:
        return PrintedMouth(), "printed"
    from assistant.speaking.playback import SpeakerPlayback  # noqa: PLC0415 - only to speak aloud
    from assistant.speaking.sound_card import SoundCard  # noqa: PLC0415
    from assistant.speaking.tone import clip  # noqa: PLC0415
    from assistant.speaking.voice import EspeakVoice  # noqa: PLC0415

    playback = SpeakerPlayback(SoundCard(wishes.speaker))
    voice = stack.enter_context(EspeakVoice(language=plan.pack.language))
    _prepare(voice, plan)
    mouth = LoudMouth(voice, playback, clip, inbox.put)
    stack.callback(mouth.close)
    return mouth, voice.voice


def _prepare(voice: Voice, plan: Plan) -> None:
    """Render every step's prompts ahead, so that they are said without a wait."""
    for component in plan.procedure.components:
        for step in component.steps:
            voice.prepare(line(plan.pack, prompt).spoken for prompt in step_prompts(step))


def _listen(
    stack: ExitStack, wishes: Wishes, ear: Ear, clock: RealClock, inbox: queue.Queue[Message]
) -> None:
    from assistant.hearing.microphone import Microphone  # noqa: PLC0415 - only to hear one
    from assistant.station.listening import Listening  # noqa: PLC0415

    listening = Listening(lambda: Microphone(wishes.device), ear, clock, inbox.put)
    stack.callback(listening.close)


def _type(inbox: queue.Queue[Message]) -> None:
    """Every typed line until the lines end."""
    for text in sys.stdin:
        if text.strip():
            inbox.put(Typed(text.strip()))
    inbox.put(Over())
