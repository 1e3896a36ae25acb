"""``sinkside label``: labels of the parts that a recorded session handed on."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from assistant.cli.card import folder, write
from assistant.cli.common import emit, json_option, record_option, record_path
from assistant.cli.failure import DAMAGED, FINDINGS

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from assistant.printing.label import Label
    from assistant.session.event import Event


@click.command()
@click.argument("session")
@click.argument("component", default="")
@click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    help="The folder for an SVG and a PNG picture of each label.",
)
@record_option
@json_option
@click.pass_context
def label(
    ctx: click.Context,
    session: str,
    component: str,
    out: Path | None,
    record_file: Path | None,
    *,
    as_json: bool,
) -> None:
    """The label of each part that SESSION handed on, or of one COMPONENT.

    SESSION may be the code of a label, as it is scanned.  Without --out each label
    is text with its code drawn in the terminal.
    """
    from assistant.printing import code  # noqa: PLC0415 - see main

    if code.is_ours(session):
        scanned = code.session_of(session)
        session, component = scanned.session, component or scanned.component
    made = dict(_labels(ctx, session, record_file))
    if not made:
        click.echo(f"session {session} has handed on no part yet", err=True)
        ctx.exit(FINDINGS)
    if component and component not in made:
        raise click.BadParameter(
            f"session {session} handed on no part {component!r}; it handed on: {', '.join(made)}",
            param_hint="COMPONENT",
        )
    if out is not None:
        folder(out)
    for part in [component] if component else list(made):
        _give(made[part], part, None if out is None else out / f"{session}-{part}", as_json=as_json)


def _give(made: Label, part: str, stem: Path | None, *, as_json: bool) -> None:
    """Print one label; as pictures where a path without its ending is given."""
    from assistant.printing import symbol  # noqa: PLC0415 - see main
    from assistant.printing.label import lines  # noqa: PLC0415

    files = [] if stem is None else _pictures(made, stem)
    if as_json:
        emit(component=part, code=made.code, lines=lines(made), files=files)
    elif files:
        click.echo("\n".join(files))
    else:
        click.echo("\n".join(lines(made)))
        for row in symbol.drawn(made.code, ascii_only=not _draws_blocks()).splitlines():
            # White on black also where the terminal is black on white.
            click.echo(click.style(row, fg="bright_white", bg="black"))
        click.echo(made.code)


def _pictures(made: Label, stem: Path) -> list[str]:
    """The files of one label."""
    from assistant.printing import press  # noqa: PLC0415 - see main
    from assistant.printing.label import DOTS_PER_INCH, fit  # noqa: PLC0415

    setting = fit(made)
    pictures = {".svg": press.svg(setting), ".png": press.png(setting, DOTS_PER_INCH)}
    paths = [stem.with_name(f"{stem.name}{ending}") for ending in pictures]
    for path, picture in zip(paths, pictures.values(), strict=True):
        write(path, picture, "--out")
    return [str(path) for path in paths]


def _labels(
    ctx: click.Context, session: str, record_file: Path | None
) -> Iterator[tuple[str, Label]]:
    """Each part that was handed on with its label; a damaged record gives none."""
    from assistant.record import chain, codec  # noqa: PLC0415 - see main
    from assistant.record.store import Store  # noqa: PLC0415

    with Store.open(record_path(record_file), write=False) as store:
        entries = store.entries(session)
    findings = chain.verify(entries)
    for finding in findings:
        click.echo(f"sinkside: entry {finding.seq}: {finding.what}", err=True)
    if findings:
        ctx.exit(DAMAGED)
    yield from _handed_on(codec.events(entries))


def _handed_on(events: Sequence[Event]) -> Iterator[tuple[str, Label]]:
    """The last disposition of each part, as its label."""
    from assistant.printing.label import Label  # noqa: PLC0415 - see main
    from assistant.session.event import SessionOpened  # noqa: PLC0415
    from assistant.session.evolve import fold  # noqa: PLC0415

    opened = next((event for event in events if isinstance(event, SessionOpened)), None)
    if opened is None:
        return
    names = _names(opened.procedure_text, opened.policy_text)
    for part, gone in fold(events).disposed.items():
        yield (
            part,
            Label(
                device=opened.title,
                component=names.get(part, part),
                disposition=gone.disposition,
                reason=gone.reason,
                container=gone.container,
                operator=opened.operator,
                at=gone.at.astimezone(),
                code=gone.label,
                counts=opened.mode == "real",
                language=opened.language,
            ),
        )


def _names(text: str, policy: str) -> dict[str, str]:
    """The parts' names by their ids; none where this program no longer reads such a sheet."""
    from assistant.station.opening import SheetError, reread  # noqa: PLC0415 - see main

    try:
        procedure = reread(text, policy, "the record")
    except SheetError:
        return {}
    return {part.id: part.name for part in procedure.parts}


def _draws_blocks() -> bool:
    """Whether the output's encoding has the signs of half blocks."""
    try:
        "█▀▄".encode(sys.stdout.encoding or "ascii")
    except (UnicodeEncodeError, LookupError):
        return False
    return True
