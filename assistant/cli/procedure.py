"""``sinkside procedure``: list, check, show and compare procedures."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from assistant.cli.card import card
from assistant.cli.common import emit, json_option, policy_option, station_option, tell
from assistant.cli.failure import FINDINGS, UNREADABLE

if TYPE_CHECKING:
    from assistant.procedure.policy import Applied


@click.group()
def procedure() -> None:
    """List, check, show and compare procedures."""


procedure.add_command(card)


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


def _applied(name: str, policy_name: str | None) -> Applied:
    """A sheet with or without a policy laid over it."""
    from assistant.procedure import policy, sheet  # noqa: PLC0415 - see main
    from assistant.station.opening import find, find_policy  # noqa: PLC0415

    path = find(name)
    data = sheet.read_bytes(path)
    if policy_name is None:
        return policy.read(data, str(path))
    over = find_policy(policy_name)
    return policy.read(data, str(path), sheet.read_bytes(over), str(over))


@procedure.command()
@click.argument("names", nargs=-1, required=True)
@policy_option
@json_option
@click.pass_context
def check(
    ctx: click.Context, names: tuple[str, ...], policy_name: str | None, *, as_json: bool
) -> None:
    """Every mistake in the sheets NAMES, as file:line:column: what; remedy."""
    from assistant.procedure.finding import SheetError  # noqa: PLC0415 - see main
    from assistant.station.opening import find, find_policy  # noqa: PLC0415

    if policy_name is not None and len(names) > 1:
        raise click.UsageError("a policy belongs to one sheet: check them one at a time")
    worst = 0
    for name in names:
        paths = [find(name), *([] if policy_name is None else [find_policy(policy_name)])]
        try:
            _applied(name, policy_name)
        except SheetError as error:
            worst = max(worst, UNREADABLE if error.unread else FINDINGS)
            for finding in error.findings:
                tell(finding, as_json=as_json)
            continue
        if not as_json:
            click.echo(f"{' with '.join(map(str, paths))}: good")
    ctx.exit(worst)


@procedure.command()
@click.argument("name")
@policy_option
@station_option
def show(name: str, policy_name: str | None, station_name: str | None) -> None:
    """The whole procedure NAME as it will be led, and where each part of it comes from."""
    from assistant.procedure.description import describe  # noqa: PLC0415 - see main
    from assistant.procedure.source import sources  # noqa: PLC0415
    from assistant.station import sink  # noqa: PLC0415

    found = _applied(name, policy_name)
    where = sink.chosen(station_name)
    led = found.procedure if where is None else sink.led_at(found.procedure, where)
    click.echo(describe(led, sources(found)))


@procedure.command()
@click.argument("old")
@click.argument("new")
@json_option
@click.pass_context
def diff(ctx: click.Context, old: str, new: str, *, as_json: bool) -> None:
    """What differs between the procedures OLD and NEW; exit code 1 where anything does."""
    from assistant.procedure.compare import compare, stated, told  # noqa: PLC0415 - see main
    from assistant.station.opening import find, read  # noqa: PLC0415

    before, after = (read(find(name)).procedure for name in (old, new))
    changes = stated(compare(before, after), before, after)
    for change in changes if as_json else ():
        emit(
            where=change.where,
            what=change.what,
            old=change.old,
            new=change.new,
            verdict=change.verdict,
        )
    if not as_json:
        click.echo("\n".join(told(changes)) or "no difference")
    ctx.exit(FINDINGS if changes else 0)
