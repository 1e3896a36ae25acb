"""``sinkside wording``: the words that would be spoken."""

from __future__ import annotations

import click


@click.command()
@click.argument("text", nargs=-1, required=True)
@click.option("--language", default="en", show_default=True)
def wording(text: tuple[str, ...], language: str) -> None:
    """The words that would be spoken for TEXT."""
    from assistant.speaking.wording import spoken  # noqa: PLC0415 - see main

    click.echo(spoken(" ".join(text), language))
