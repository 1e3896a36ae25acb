"""What several commands share: where the record is, how rows are printed."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from assistant.procedure.finding import Finding
    from assistant.station.account import Row

_Command = Any  # click's decorators give and take what they decorate


def record_path(given: Path | None) -> Path:
    """The record's file: the one given, or the one in the user's data folder."""
    if given is not None:
        return given
    from platformdirs import user_data_path  # noqa: PLC0415 - only where no file was named

    return user_data_path("sinkside", appauthor=False) / "record.db"


def record_option(command: _Command) -> _Command:
    """``--record FILE``."""
    return click.option(
        "--record",
        "record_file",
        type=click.Path(path_type=Path, dir_okay=False),
        help="The record's file; without it, the one in your data folder.",
    )(command)


def json_option(command: _Command) -> _Command:
    """``--json``."""
    return click.option("--json", "as_json", is_flag=True, help="One JSON object a line.")(command)


def policy_option(command: _Command) -> _Command:
    """``--policy FILE``."""
    return click.option(
        "--policy",
        "policy_name",
        metavar="FILE",
        help="A facility's policy to be laid over the sheet: a file, or the name of a shipped one.",
    )(command)


def station_option(command: _Command) -> _Command:
    """``--station FILE``."""
    return click.option(
        "--station",
        "station_name",
        metavar="FILE",
        help="Where it is done: a station's file, or a shipped one's name; without it, the one "
        'in your config folder where there is one; "none" for no station.',
    )(command)


def tell(finding: Finding, *, as_json: bool) -> None:
    """One mistake of a file: where, what, and what to write instead."""
    if not as_json:
        click.echo(str(finding))
        return
    emit(
        file=finding.path,
        line=finding.line,
        column=finding.column,
        what=finding.what,
        remedy=finding.remedy,
    )


def emit(**fields: object) -> None:
    """One JSON object on a line of its own, ASCII only, so that no terminal alters it."""
    click.echo(json.dumps(fields))


def local(at: datetime) -> str:
    """A moment as the reader's clock shows it."""
    return at.astimezone().strftime("%H:%M:%S")


def explain_option(command: _Command) -> _Command:
    """``--explain``."""
    return click.option("--explain", is_flag=True, help="Show how each figure was got.")(command)


def printer(*, as_json: bool, explain: bool = False) -> Callable[[Row], None]:
    """Prints the rows of an account as they come; the working only where it is asked for."""

    def show(row: Row) -> None:
        if row.kind == "worked" and not (explain or as_json):
            return
        if as_json:
            emit(at=row.at.isoformat(), kind=row.kind, text=row.text, detail=row.detail)
            return
        detail = f"  {row.detail}" if row.detail else ""
        click.echo(f"{local(row.at)}  {row.kind:<8}  {row.text}{detail}")

    return show
