"""``sinkside procedure card``: a procedure on one printed page."""

from __future__ import annotations

from pathlib import Path

import click

from assistant.cli.common import emit, json_option, policy_option


@click.command()
@click.argument("name")
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    help="The PDF file; without it, NAME's id and revision in this folder.",
)
@click.option(
    "--paper",
    type=click.Choice(["a4", "letter", "a3", "tabloid"], case_sensitive=False),
    default="a4",
    show_default=True,
)
@policy_option
@json_option
def card(
    name: str, out: Path | None, paper: str, policy_name: str | None, *, as_json: bool
) -> None:
    """The procedure NAME on one page, with a code that chooses it when scanned."""
    from assistant.printing import press  # noqa: PLC0415 - see main
    from assistant.printing.card import card as made  # noqa: PLC0415
    from assistant.printing.fit import fit  # noqa: PLC0415
    from assistant.station.opening import find, find_policy, read  # noqa: PLC0415

    policy = None if policy_name is None else find_policy(policy_name)
    procedure = read(find(name), policy).procedure
    fitted = fit(made(procedure, under_policy=policy is not None), paper)
    path = out or Path(_file_name(procedure.id, procedure.revision))
    write(path, press.pdf(fitted.setting), "--out")
    if as_json:
        emit(
            file=str(path),
            procedure=procedure.id,
            revision=procedure.revision,
            paper=paper,
            size_pt=fitted.size_pt,
        )
    else:
        click.echo(f"{path}: one page of {paper.capitalize()}, letters of {fitted.size_pt:g} pt")


def _file_name(procedure: str, revision: str) -> str:
    """A file name that any system takes."""
    plain = "".join(sign if sign.isalnum() or sign in "-." else "-" for sign in revision)
    return f"{procedure}-{plain}-card.pdf"


def write(path: Path, data: bytes, option: str) -> None:
    """Write a file that was asked for by an option.

    Raises:
        click.BadParameter: it cannot be written; says why.
    """
    try:
        path.write_bytes(data)
    except OSError as error:
        raise click.BadParameter(
            f"{path} cannot be written: {error.strerror}; name a place that exists and may be"
            " written",
            param_hint=option,
        ) from error


def folder(path: Path) -> None:
    """Make the folder that was asked for by "--out", where it is missing.

    Raises:
        click.BadParameter: it cannot be made; says why.
    """
    try:
        path.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise click.BadParameter(
            f"the folder {path} cannot be made: {error.strerror}; name another one",
            param_hint="--out",
        ) from error
