"""``sinkside grammar``: what may be said."""

from __future__ import annotations

import random

import click

from assistant.cli.common import emit, json_option

# So many sentences are drawn; of each command so many different ones are kept.
_DRAWN = 6000
_KEPT = 60


@click.group()
def grammar() -> None:
    """What may be said."""


@grammar.command()
@click.option("--language", default="en", show_default=True)
@click.option("--procedure", default="", help="The parts of this procedure only.")
@click.option("--seed", default=1, show_default=True, help="Of the draw.")
@json_option
def sample(language: str, procedure: str, seed: int, *, as_json: bool) -> None:
    """Phrases that may be said, with what they mean.

    Every fixed phrase; of those with numbers or spelled lots, which are without
    end, a drawn sample.
    """
    from assistant.cli.vocabulary import shipped_vocabulary  # noqa: PLC0415 - see main

    known = shipped_vocabulary(language, procedure)
    draw = random.Random(seed)  # noqa: S311 - a sample, no secret
    kept: dict[str, dict[str, str]] = {}
    for _ in range(_DRAWN):
        text = known.automaton.sample(draw.randrange)
        parse = known.automaton.parse(text.split())
        command = None if parse is None else known.command(parse.tags)
        if command is None:
            continue
        phrases = kept.setdefault(command.verb, {})
        if len(phrases) < _KEPT:
            phrases[text] = str(command)
    for verb in sorted(kept):
        for text, meaning in sorted(kept[verb].items()):
            if as_json:
                emit(command=meaning, text=text)
            else:
                click.echo(f"{meaning:<40} {text}")
