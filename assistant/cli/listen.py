"""``sinkside listen``: what the recognizer makes of sound files."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from assistant.cli.common import emit, json_option
from assistant.cli.failure import GOOD, UNREADABLE

if TYPE_CHECKING:
    from assistant.grammar.interpret import Interpreter
    from assistant.hearing.choose import Vocabulary
    from assistant.hearing.recognizer import Hypothesis, Recognizer

NO_SPEECH = "no speech was found"


@click.command()
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option(
    "--grammar",
    "grammar_file",
    type=click.Path(path_type=Path),
    help="A JSGF file; without it, the shipped vocabulary.",
)
@click.option("--language", default="en", show_default=True)
@click.option("--procedure", default="", help="The parts of this procedure only.")
@click.option(
    "--recognizer",
    "recognizer_name",
    type=click.Choice(["auto", "neural", "vosk", "pocketsphinx"]),
    default="auto",
    show_default=True,
)
@click.option("--model", "model_folder", type=click.Path(path_type=Path))
@json_option
@click.pass_context
def listen(
    ctx: click.Context,
    files: tuple[Path, ...],
    grammar_file: Path | None,
    language: str,
    procedure: str,
    recognizer_name: str,
    model_folder: Path | None,
    *,
    as_json: bool,
) -> None:
    """One line for each of FILES: what was heard in it, as one utterance, and how surely."""
    from assistant.hearing.choose import Choice, choose  # noqa: PLC0415 - see main
    from assistant.hearing.frames import AudioError  # noqa: PLC0415

    vocabulary, interpreter = _vocabulary(grammar_file, language, procedure)
    chosen = choose(vocabulary, Choice(recognizer_name), model_folder)
    click.echo(f"sinkside: {chosen.why}", err=True)
    worst = GOOD
    for file in files:
        try:
            fields = _heard(file, chosen.recognizer, interpreter)
        except AudioError as error:
            click.echo(f"sinkside: {error}", err=True)
            worst = UNREADABLE
            continue
        if as_json:
            emit(**fields)
        else:
            outcome = fields["command"] or fields["text"] if fields["accepted"] else "-"
            click.echo(f"{file}: {outcome}  (score {fields['score']:.1f}) {fields['reason']}")
    ctx.exit(worst)


def _vocabulary(
    grammar_file: Path | None, language: str, procedure: str
) -> tuple[Vocabulary, Interpreter | None]:
    from assistant.cli.vocabulary import shipped_vocabulary  # noqa: PLC0415 - see main
    from assistant.grammar import automaton, jsgf  # noqa: PLC0415
    from assistant.grammar import pack as packs  # noqa: PLC0415
    from assistant.hearing.choose import Vocabulary  # noqa: PLC0415

    if grammar_file is None:
        known = shipped_vocabulary(language, procedure)
        orthography = known.pack.orthography
        return Vocabulary(language, known.grammar, known.automaton, orthography), known
    grammar = jsgf.load(grammar_file)
    orthography = packs.load(language).orthography
    return Vocabulary(language, grammar, automaton.build(grammar), orthography), None


def _heard(
    file: Path, recognizer: Recognizer, interpreter: Interpreter | None
) -> dict[str, object]:
    from assistant.hearing.frames import read  # noqa: PLC0415 - see main
    from assistant.hearing.recognizer import Hypothesis  # noqa: PLC0415
    from assistant.hearing.segment import whole  # noqa: PLC0415

    audio = read(file)
    utterance = whole(audio)
    if utterance is None:
        heard = Hypothesis("", (), float("-inf"), accepted=False, reason=NO_SPEECH)
    else:
        heard = recognizer.hear(utterance)
    return {
        "file": str(file),
        "text": heard.text,
        "command": _command(heard, interpreter),
        "tags": _tags(heard),
        "accepted": heard.accepted,
        "score": heard.score if utterance else None,
        "runner_up": heard.runner_up,
        "audio_s": round(audio.duration_s, 3),
        "speech_end_s": None if utterance is None else round(utterance.speech_end_s, 3),
        "decode_ms": round(heard.decode_ms, 1),
        "reason": heard.reason,
    }


def _command(heard: Hypothesis, interpreter: Interpreter | None) -> str:
    command = interpreter.command(heard.tags) if interpreter and heard.accepted else None
    return "" if command is None else str(command)


def _tags(heard: Hypothesis) -> dict[str, object]:
    """The words under each tag; a list where a tag was spoken several times."""
    tags: dict[str, object] = {}
    for tag, words in heard.tags:
        before = tags.get(tag)
        if before is None:
            tags[tag] = words
        else:
            tags[tag] = [*before, words] if isinstance(before, list) else [before, words]
    return tags
