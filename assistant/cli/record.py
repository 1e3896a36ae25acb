"""``sinkside record`` and ``sinkside replay``: what was done, and whether it still stands."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import click

from assistant.cli.common import (
    emit,
    explain_option,
    json_option,
    local,
    record_option,
    record_path,
)
from assistant.cli.failure import DAMAGED

if TYPE_CHECKING:
    from pathlib import Path

    from assistant.record.store import Store


def _store(record_file: Path | None) -> Store:
    from assistant.record.store import Store  # noqa: PLC0415 - see main

    return Store.open(record_path(record_file), write=False)


@click.group()
def record() -> None:
    """List, show and verify the record."""


@record.command("list")
@record_option
@json_option
def list_(record_file: Path | None, *, as_json: bool) -> None:
    """Every session of the record."""
    from assistant.record import codec  # noqa: PLC0415 - see main
    from assistant.session.event import SessionOpened  # noqa: PLC0415
    from assistant.session.evolve import fold  # noqa: PLC0415

    with _store(record_file) as store:
        for summary in store.sessions():
            events = codec.events(store.entries(summary.id))
            opened = events[0] if events and isinstance(events[0], SessionOpened) else None
            state = fold(events)
            fields = {
                "session": summary.id,
                "first_at": summary.first_at,
                "last_at": summary.last_at,
                "entries": summary.entries,
                "procedure": opened.procedure if opened else "",
                "revision": opened.revision if opened else "",
                "operator": opened.operator if opened else "",
                "mode": opened.mode if opened else "",
                "phase": str(state.phase),
                "deviations": len(state.deviations),
                "problems": len(state.problems),
            }
            if as_json:
                emit(**fields)
                continue
            click.echo(
                f"{fields['session']}  {fields['procedure']} {fields['revision']}"
                f"  {fields['operator']}  {fields['mode']}  {fields['phase']}"
                f"  {fields['deviations']} deviations, {fields['problems']} problems"
            )


@record.command()
@click.argument("session")
@record_option
@json_option
def show(session: str, record_file: Path | None, *, as_json: bool) -> None:
    """Every stored entry of SESSION."""
    with _store(record_file) as store:
        for entry in store.entries(session):
            if as_json:
                emit(
                    seq=entry.seq,
                    at=entry.at,
                    type=entry.type,
                    body=json.loads(entry.body),
                    prev=entry.prev,
                    hash=entry.hash,
                )
            else:
                click.echo(f"{entry.seq:>5}  {entry.at}  {entry.type}  {entry.body}")


@record.command()
@record_option
@click.pass_context
def verify(ctx: click.Context, record_file: Path | None) -> None:
    """Derive every hash again and tell what does not fit."""
    with _store(record_file) as store:
        findings = store.verify()
        sessions = store.sessions()
    for finding in findings:
        where = f"session {finding.session}, entry {finding.seq}: " if finding.session else ""
        click.echo(f"{where}{finding.what}")
    if findings:
        ctx.exit(DAMAGED)
    count = sum(summary.entries for summary in sessions)
    click.echo(f"good: {len(sessions)} sessions, {count} entries, every hash as it must be")


@click.command()
@click.argument("session")
@record_option
@json_option
@explain_option
@click.pass_context
def replay(
    ctx: click.Context, session: str, record_file: Path | None, *, as_json: bool, explain: bool
) -> None:
    """The spoken-step log of SESSION again, folded from the record; nothing is written."""
    from assistant.record import chain, codec  # noqa: PLC0415 - see main
    from assistant.record.review import WORKED, told  # noqa: PLC0415
    from assistant.session.evolve import fold  # noqa: PLC0415

    with _store(record_file) as store:
        entries = store.entries(session)
    findings = chain.verify(entries)
    for finding in findings:
        click.echo(f"sinkside: entry {finding.seq}: {finding.what}", err=True)
    if findings:
        ctx.exit(DAMAGED)
    events = codec.events(entries)
    for at, kind, sentence in told(events):
        if kind == WORKED and not (explain or as_json):
            continue
        if as_json:
            emit(at=at.isoformat(), kind=kind, text=sentence)
        else:
            click.echo(f"{local(at)}  {kind:<15}  {sentence}".rstrip())
    state = fold(events)
    if not as_json:
        click.echo(
            f"{session}: {state.phase.replace('_', ' ')}, {len(state.deviations)} deviations,"
            f" {len(state.problems)} problems, {len(entries)} entries, chain intact"
        )
