"""``sinkside procedure``: list, check and show procedures."""

from __future__ import annotations

from pathlib import Path

import click

from assistant.cli.common import emit, json_option
from assistant.cli.failure import FINDINGS, UNREADABLE


@click.group()
def procedure() -> None:
    """List, check and show procedures."""


@procedure.command("list")
@json_option
def list_(*, as_json: bool) -> None:
    """The procedures that travel with the program."""
    from assistant.procedure.finding import SheetError  # noqa: PLC0415 - see main
    from assistant.station.opening import read, shipped  # noqa: PLC0415

    for path in shipped():
        try:
            found = read(path).procedure
        except SheetError as error:
            click.echo(f"{path.stem}: {error}", err=True)
            continue
        if as_json:
            emit(name=path.stem, title=found.title, revision=found.revision, notice=found.notice)
        else:
            click.echo(f"{path.stem:<20} {found.title}, revision {found.revision}")


@procedure.command()
@click.argument("names", nargs=-1, required=True)
@json_option
@click.pass_context
def check(ctx: click.Context, names: tuple[str, ...], *, as_json: bool) -> None:
    """Every mistake in the sheets NAMES, as file:line:column: what; remedy."""
    from assistant.procedure import sheet  # noqa: PLC0415 - see main
    from assistant.station.opening import find  # noqa: PLC0415

    worst = 0
    for name in names:
        path = find(name)
        findings = sheet.check(path)
        for finding in findings:
            if as_json:
                emit(
                    file=finding.path,
                    line=finding.line,
                    column=finding.column,
                    what=finding.what,
                    remedy=finding.remedy,
                )
            else:
                click.echo(str(finding))
        if findings:
            unreadable = not Path(path).is_file()
            worst = max(worst, UNREADABLE if unreadable else FINDINGS)
        elif not as_json:
            click.echo(f"{path}: good")
    ctx.exit(worst)


@procedure.command()
@click.argument("name")
def show(name: str) -> None:
    """The whole procedure NAME as it will be led."""
    from assistant.procedure.description import describe  # noqa: PLC0415 - see main
    from assistant.station.opening import find, read  # noqa: PLC0415

    click.echo(describe(read(find(name)).procedure))
