"""``sinkside run``, ``rehearse`` and ``demo``: a session, led."""

from __future__ import annotations

import sys
from contextlib import ExitStack
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from assistant.cli.common import (
    explain_option,
    json_option,
    printer,
    record_option,
    record_path,
    station_option,
)
from assistant.cli.failure import DAMAGED, FINDINGS, GOOD

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from assistant.grammar.interpret import Interpreter
    from assistant.hearing.recognizer import Recognizer
    from assistant.record.chain import Entry
    from assistant.speaking.voice import Voice
    from assistant.station.account import Row
    from assistant.station.assemble import Plan
    from assistant.station.ear import Ear
    from assistant.station.opening import Sheet
    from assistant.station.reception import Received
    from assistant.station.script import Cue

NOTHING_BEGUN = "sinkside: nothing was begun"
LATEST = "latest"  # what --resume without an id means

_Command = Any  # click's decorators give and take what they decorate


def _shared(command: _Command) -> _Command:
    """The options that every session takes."""
    options = (
        click.option("--language", default="en", show_default=True),
        click.option("--operator", default="", help="Who works; without it, the login name."),
        click.option(
            "--component",
            "components",
            multiple=True,
            help="Clean this component only; may be given several times.",
        ),
        click.option(
            "--recognizer",
            "recognizer_name",
            type=click.Choice(["auto", "neural", "vosk", "pocketsphinx"]),
            default="auto",
            show_default=True,
        ),
        click.option(
            "--model",
            "model_folder",
            type=click.Path(path_type=Path),
            help="The folder of a Vosk model.",
        ),
        click.option(
            "--policy",
            default="",
            metavar="FILE",
            help="A facility's policy to be laid over the sheet: a file, or a shipped one's name.",
        ),
        station_option,
        json_option,
        explain_option,
        record_option,
    )
    for option in reversed(options):
        command = option(command)
    return command


_procedures_option = click.option(
    "--procedures",
    "procedures_folder",
    type=click.Path(path_type=Path, file_okay=False, exists=True),
    help="The folder of sheets to choose from by scan or name; without it, the shipped ones.",
)


@click.command()
@click.argument("procedure", default="")
@_procedures_option
@click.option("--mic", "source", flag_value="mic", default="mic", help="Hear a microphone.")
@click.option("--keys", "source", flag_value="keys", help="Type what you would say.")
@click.option(
    "--script", "script_file", type=click.Path(path_type=Path), help="Follow cues, one a line."
)
@click.option("--device", default=None, help="The microphone, by whole or part of its name.")
@click.option(
    "--scanner",
    type=click.Path(path_type=Path),
    help="A scanner's input device; without it, the scanner types as a keyboard does.",
)
@click.option("--speaker", default=None, help="The sound card to speak on, by its name.")
@click.option(
    "--voice",
    type=click.Choice(["aloud", "printed"]),
    help="Speak, or print only; aloud with --mic, else printed.",
)
@click.option(
    "--resume",
    is_flag=False,
    flag_value=LATEST,
    help="Go on with that session, or with the latest one that is open.",
)
@_shared
def run(
    procedure: str,
    procedures_folder: Path | None,
    source: str,
    script_file: Path | None,
    device: str | None,
    scanner: Path | None,
    speaker: str | None,
    voice: str | None,
    resume: str | None,
    language: str,
    operator: str,
    components: tuple[str, ...],
    recognizer_name: str,
    model_folder: Path | None,
    policy: str,
    station_name: str | None,
    record_file: Path | None,
    *,
    as_json: bool,
    explain: bool,
) -> None:
    """Lead the cleaning of PROCEDURE, by voice, keys or script.

    Without PROCEDURE, scan the code of the device or say its name.
    """
    from assistant.cli.live import Wishes, lead  # noqa: PLC0415 - see main

    if resume is not None and station_name is not None:
        raise click.UsageError("a session goes on where it was begun: leave out --station")
    wishes = Wishes(
        procedure=procedure,
        procedures=procedures_folder,
        source="script" if script_file else source,
        script_file=script_file,
        device=device,
        scanner=scanner,
        speaker=speaker,
        aloud=(voice or ("printed" if script_file or source == "keys" else "aloud")) == "aloud",
        resume=resume,
        language=language,
        operator=operator,
        components=components,
        recognizer=recognizer_name,
        model_folder=model_folder,
        policy=policy,
        station=station_name,
        record_file=record_path(record_file),
        as_json=as_json,
        explain=explain,
    )
    lead(wishes)


@click.command()
@click.argument("procedure", default="")
@_procedures_option
@click.option("--script", "script_file", type=click.Path(path_type=Path), help="Cues, one a line.")
@click.option("--voice", type=click.Choice(["printed", "espeak"]), default="printed")
@click.option(
    "--spoken-by",
    default="",
    metavar="VOICE",
    help='Lines are spoken by this espeak voice ("en-us+m3"); only what is heard of them acts.',
)
@_shared
def rehearse(
    procedure: str,
    procedures_folder: Path | None,
    script_file: Path | None,
    voice: str,
    spoken_by: str,
    language: str,
    operator: str,
    components: tuple[str, ...],
    recognizer_name: str,
    model_folder: Path | None,
    policy: str,
    station_name: str | None,
    record_file: Path | None,
    *,
    as_json: bool,
    explain: bool,
) -> None:
    """Lead PROCEDURE on a virtual clock; its record is marked and never counts.

    Without PROCEDURE, scan the code of the device or say its name.  Without a script,
    type what you would say; "wait 5 min" lets time pass.
    """
    from assistant.speaking.voice import EspeakVoice  # noqa: PLC0415 - see main
    from assistant.station import assemble, script, sink  # noqa: PLC0415
    from assistant.station.ear import Ear  # noqa: PLC0415

    station = sink.chosen(station_name)
    cues = script.read(script_file) if script_file else None
    following = iter(cues) if cues is not None else _typed_cues()
    show = printer(as_json=as_json, explain=explain)

    with ExitStack() as stack:
        speaker = _voice(stack, voice, language)
        technician = stack.enter_context(EspeakVoice(spoken_by)) if spoken_by else None

        def hears(interpreter: Interpreter) -> Ear:
            sound = technician is not None or _plays(cues)
            found = chosen(interpreter, recognizer_name, model_folder) if sound else None
            return Ear(interpreter, found, technician)

        name, received = procedure, None
        if not name:
            received = _received(readable(procedures_folder), language, following, hears, speaker,
                                 show)  # fmt: skip
            if received is None:
                click.echo(NOTHING_BEGUN, err=True)
                return
            name = received.sheet.source
        plan = assemble.plan(name, language, components, policy, station)
        if received is not None:
            plan = replace(plan, received=received.code, received_as=received.told)
        lead_rehearsal(
            stack,
            plan,
            following,
            mode="rehearsal",
            operator=operator,
            ear=hears(plan.interpreter),
            voice=speaker,
            record_file=record_path(record_file),
            show=show,
        )


def readable(procedures_folder: Path | None) -> tuple[Sheet, ...]:
    """The sheets of a folder, or the shipped ones; one with mistakes is told and left out.

    Raises:
        ProcedureUnknownError: there is none.
    """
    from assistant.procedure.finding import SheetError  # noqa: PLC0415 - see main
    from assistant.station import opening  # noqa: PLC0415

    found = []
    for path in opening.within(procedures_folder):
        try:
            found.append(opening.read(path))
        except SheetError as error:
            click.echo(f"sinkside: left out: {error}", err=True)
    if not found:
        raise opening.ProcedureUnknownError(
            f'no procedure in the folder "{procedures_folder}" can be read'
        )
    return tuple(found)


def _received(
    sheets: Sequence[Sheet],
    language: str,
    cues: Iterator[Cue],
    hears: Callable[[Interpreter], Ear],
    voice: Voice,
    show: Callable[[Row], None],
) -> Received | None:
    """The device that is scanned or named first; None where nobody wants one."""
    from assistant.grammar import pack as packs  # noqa: PLC0415 - see main
    from assistant.station.clock import VirtualClock  # noqa: PLC0415
    from assistant.station.course import Course  # noqa: PLC0415
    from assistant.station.reception import Reception, devices  # noqa: PLC0415
    from assistant.station.rehearsal import Rehearsal  # noqa: PLC0415

    pack, reception = packs.load(language), Reception(sheets)
    clock, known = VirtualClock(datetime.now(UTC)), devices(pack, sheets)
    course = Course(reception, pack, clock, show)
    course.perform(reception.begin())
    Rehearsal(course, clock, voice, hears(known)).follow(cues)
    return reception.received


def lead_rehearsal(
    stack: ExitStack,
    plan: Plan,
    cues: Sequence[Cue] | Iterator[Cue],
    *,
    mode: str,
    operator: str,
    ear: Ear,
    voice: Voice,
    record_file: Path,
    show: Callable[[Row], None],
) -> str:
    """Follow the cues on a virtual clock; the session's id."""
    from assistant.record.store import Store  # noqa: PLC0415 - see main
    from assistant.station import assemble  # noqa: PLC0415
    from assistant.station.clock import VirtualClock  # noqa: PLC0415
    from assistant.station.rehearsal import Rehearsal  # noqa: PLC0415

    store = stack.enter_context(Store.open(record_file, write=True))
    clock = VirtualClock(datetime.now(UTC))
    recognizer = ear.recognizer
    means = assemble.Means(
        mode,
        operator,
        recognizer.name if recognizer else "none",
        recognizer.model_sha256 if recognizer else "",
        type(voice).__name__,
    )
    course = assemble.begin(plan, store, clock, show, means)
    Rehearsal(course, clock, voice, ear).follow(cues)
    if not course.journal.state.closed:
        click.echo(f"sinkside: session {course.journal.session} stays open", err=True)
    return course.journal.session


def _plays(cues: Sequence[Cue] | None) -> bool:
    """Whether a script plays sound."""
    from assistant.station.script import Play  # noqa: PLC0415 - see main

    return cues is not None and any(isinstance(cue, Play) for cue in cues)


def chosen(interpreter: Interpreter, name: str, model_folder: Path | None) -> Recognizer:
    """The recognizer of that name, with the reason for it on standard error."""
    from assistant.hearing.choose import Choice, Vocabulary, choose  # noqa: PLC0415 - see main

    vocabulary = Vocabulary(
        interpreter.pack.language,
        interpreter.grammar,
        interpreter.automaton,
        interpreter.pack.orthography,
    )
    found = choose(vocabulary, Choice(name), model_folder)
    click.echo(f"sinkside: {found.why}", err=True)
    return found.recognizer


def _voice(stack: ExitStack, name: str, language: str) -> Voice:
    from assistant.speaking.voice import EspeakVoice, PrintedVoice  # noqa: PLC0415 - see main

    if name == "printed":
        return PrintedVoice()
    return stack.enter_context(EspeakVoice(language=language))


def _typed_cues() -> Iterator[Cue]:
    """Cues from the keyboard: script lines as they are, anything else as if said."""
    from assistant.station.script import Say, ScriptError, cue  # noqa: PLC0415 - see main

    for line in sys.stdin:
        text = line.strip()
        if text.partition(" ")[0] in ("say", "play", "wait", "scan"):
            # "say again" is a command of its own.
            if text == "say again":
                yield Say(text)
                continue
            try:
                found = cue(text, Path.cwd())
            except ScriptError as error:
                click.echo(f"sinkside: {error}", err=True)
                continue
        else:
            found = Say(text) if text else None
        if found is not None:
            yield found


@click.command()
@click.option("--record", "record_file", type=click.Path(path_type=Path, dir_okay=False))
@json_option
@explain_option
def demo(record_file: Path | None, *, as_json: bool, explain: bool) -> None:
    """A whole short cleaning on spoken audio: no microphone, speaker or network needed.

    Real endpointing and recognizer hear bundled clips, the real voice renders
    every prompt, the clock is virtual, the record is written and verified.
    """
    from assistant.record.store import Store  # noqa: PLC0415 - see main
    from assistant.shipped import folder  # noqa: PLC0415
    from assistant.station import assemble, script  # noqa: PLC0415
    from assistant.station.ear import Ear  # noqa: PLC0415

    plan = assemble.plan("demo-short", "en", ())
    cues = script.read(folder("audio_fixtures") / "demo.txt")
    path = record_path(record_file)
    with ExitStack() as stack:
        session = lead_rehearsal(
            stack,
            plan,
            cues,
            mode="demo",
            operator="demo operator",
            ear=Ear(plan.interpreter, chosen(plan.interpreter, "auto", None)),
            voice=_voice(stack, "espeak", "en"),
            record_file=path,
            show=printer(as_json=as_json, explain=explain),
        )
    with Store.open(path, write=False) as store:
        findings = store.verify()
        entries = store.entries(session)
    for finding in findings:
        click.echo(f"record: {finding.what}", err=True)
    if findings:
        sys.exit(DAMAGED)
    if not as_json:
        where = f" --record {path}" if record_file else ""
        click.echo(f"\nThe record is {path}: {len(entries)} entries of this session, all verified.")
        click.echo(f"Replay it with: {sys.argv[0]} replay {session}{where}")
    sys.exit(GOOD if _signed(entries) else FINDINGS)


def _signed(entries: Sequence[Entry]) -> bool:
    """Whether the cleaning came to its end."""
    return any(entry.type == "SignedOff" for entry in entries)
